import type { BlindWatch, Subject, WatchName } from '../../watches/index.ts';
import type { Writer } from '../writer.ts';

/** What would go unnoticed while a watch is blind, the gravest first. */
const TROUBLES: readonly (readonly [WatchName, string])[] = [
  ['heater-stuck-on', 'stuck on'],
  ['mat-overheating', 'overheating'],
  ['tank-too-warm', 'too warm'],
  ['tank-too-cold', 'too cold'],
  ['heater-not-heating', 'not heating'],
  ['heater-unheard', 'out of the tank'],
  ['pump-stopped', 'stopped'],
  ['air-stopped', 'stopped'],
  ['room-cooling', 'getting cold'],
  ['heater-overmatched', 'losing to the cold'],
  ['heater-weak', 'weak'],
  ['heater-drifting', 'drifting'],
  ['heater-chattering', 'chattering'],
  ['heater-against-chiller', 'fighting the chiller'],
  ['pump-laboring', 'laboring'],
  ['light-off-plan', 'off its plan'],
  ['probe-frozen', 'frozen'],
  ['duty-unexplained', 'off its usual need of heat'],
  ['expensive-night', 'in for a dear night'],
];
const RANK = new Map(TROUBLES.map(([watch], rank) => [watch, rank]));

/** So many things are named. */
const NAMED = 4;

interface Unwatched {
  readonly subject: Subject;
  /** Ranks, the gravest first. */
  readonly troubles: readonly number[];
}

function bySubject(blind: readonly BlindWatch[]): Unwatched[] {
  const all = new Map<string, { subject: Subject; ranks: Set<number> }>();
  for (const { watch, subject } of blind) {
    const rank = RANK.get(watch);
    if (rank === undefined) continue;
    const key = `${subject.kind}/${subject.id}`;
    const known = all.get(key);
    if (known === undefined) all.set(key, { subject, ranks: new Set([rank]) });
    else known.ranks.add(rank);
  }
  return [...all.values()]
    .map(({ subject, ranks }) => ({ subject, troubles: [...ranks].sort((a, b) => a - b) }))
    .sort((a, b) => (a.troubles[0] ?? 0) - (b.troubles[0] ?? 0));
}

/**
 * A line for each thing of which an alert would not come, the gravest first.
 * @param until as in 'it speaks again'
 */
export function unwatchedLines(write: Writer, silent: readonly Subject[], until: string): string[] {
  const unwatched = bySubject(write.names.blindWithout?.(silent) ?? []);
  const lines = unwatched.slice(0, NAMED).map(({ subject, troubles }, place) => {
    const words = inWords(troubles.map((rank) => TROUBLES[rank]?.[1] ?? ''));
    const lead = place === 0 ? `Until ${until} nobody would notice:` : 'Nor:';
    return `${lead} ${write.name(subject)} ${words}.`;
  });
  const more = unwatched.length - NAMED;
  return more > 0 ? [...lines, `Nor what may befall ${more} more.`] : lines;
}

/** 'a', 'a or b', 'a, b or c'. */
function inWords(troubles: readonly string[]): string {
  const last = troubles.at(-1) ?? '';
  return troubles.length < 2 ? last : `${troubles.slice(0, -1).join(', ')} or ${last}`;
}
