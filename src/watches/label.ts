import type { Subject, WatchName } from './finding.ts';

/** How a watch and its subject are called, made once: thousands are looked at every few seconds. */
export interface Label {
  /** 'WATCH:SUBJECT'. */
  readonly key: string;
  readonly subject: Subject;
}

/** By watch, then by the subject's id. */
export type Labels = Map<WatchName, Map<string, Label>>;

export function labelOf(
  labels: Labels,
  watch: WatchName,
  kind: Subject['kind'],
  id: string,
): Label {
  let ofWatch = labels.get(watch);
  if (ofWatch === undefined) {
    ofWatch = new Map();
    labels.set(watch, ofWatch);
  }
  let label = ofWatch.get(id);
  if (label === undefined) {
    label = { key: `${watch}:${id}`, subject: { kind, id } };
    ofWatch.set(id, label);
  }
  return label;
}
