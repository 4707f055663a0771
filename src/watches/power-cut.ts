import { type Instant, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note } from './views.ts';

export type PowerCutReason =
  | 'all-plugs-vanished' // while a probe is still heard: the network works
  | 'some-plugs-vanished' // others are heard: one circuit, or one access point
  | 'everything-vanished' // nothing else is heard: the power, or the network
  | 'elsewhere' // another room has lost more
  | 'plugs-heard'
  | 'too-few-plugs';

export interface PowerCutState {
  readonly cut: Latch;
}

/** The time within which a source vanished: after its last word, at the latest when that was due. */
export interface Vanished {
  readonly room: string | undefined;
  readonly after: Instant;
  readonly by: Instant;
}

export interface PowerCutInput {
  readonly config: WatchesConfig;
  readonly room: string;
  /** Plugs that have been heard since the broker is there. */
  readonly plugs: number;
  /** Those of them that vanished together. */
  readonly together: readonly Vanished[];
  /** The room that lost the most of them. */
  readonly worst: string | undefined;
  readonly probesHeard: number;
}

const powered: PowerCutState = { cut: openLatch };
const HOLD = MINUTE;

/** The largest group that may have vanished within `within` of one another. */
export function vanishedTogether(all: readonly Vanished[], within: number): Vanished[] {
  // One moment to a bucket is enough to try: a thousand plugs on one circuit vanish at few moments.
  const moments = new Map<number, Instant>();
  for (const { by } of all) {
    const bucket = Math.floor(by / Math.max(SECOND, within));
    moments.set(bucket, Math.min(by, moments.get(bucket) ?? by) as Instant);
  }
  let best: Vanished[] = [];
  for (const by of moments.values()) {
    const group = all.filter((it) => it.after <= by + within && it.by >= by);
    if (group.length > best.length) best = group;
  }
  return best;
}

/**
 * Several plugs vanish at one moment while the broker stays. Every room is looked at; the one that
 * lost the most speaks for all.
 */
export function lookAtPowerCut(
  before: PowerCutState | undefined,
  input: PowerCutInput,
  now: Instant,
): { state: PowerCutState; finding: Finding } {
  const state = before ?? powered;
  const { config, together, plugs, worst, room, probesHeard } = input;
  const { plugs: least } = config.power_cut;
  const gone = together.length;
  const isCut = gone >= least;
  const cut = latch(
    state.cut,
    { over: isCut && worst === room, calm: !isCut || worst !== room, hold: HOLD, settle: HOLD },
    now,
  );
  const next = cut === state.cut ? state : { cut };
  const say = (verdict: Finding['verdict'], reason: PowerCutReason, proof: Evidence[]) => ({
    state: next,
    finding: possibleWarning(verdict, reason, proof, HOLD as Millis),
  });
  const proof: Evidence[] = [];
  if (plugs > 0) note(proof, 'plugs-gone', gone / plugs, 'fraction');
  if (cut.since === undefined) {
    const reason = isCut ? 'elsewhere' : plugs < least ? 'too-few-plugs' : 'plugs-heard';
    return say(plugs < least ? 'unknown' : 'quiet', reason, proof);
  }
  const first = together.reduce<Instant | undefined>(
    (at, { by }) => (at === undefined || by < at ? by : at),
    undefined,
  );
  if (first !== undefined) note(proof, 'gone-for', Math.max(0, now - first), 'ms', first);
  if (gone < plugs) return say('raised', 'some-plugs-vanished', proof);
  const { finding } = say(
    'raised',
    probesHeard > 0 ? 'all-plugs-vanished' : 'everything-vanished',
    proof,
  );
  return {
    state: next,
    finding: {
      ...finding,
      severity: 'critical',
      confidence: probesHeard > 0 ? 'likely' : 'possible',
    },
  };
}

/** How far apart plugs on one dead circuit may seem to vanish. */
export const togetherWithin = (config: WatchesConfig): number => config.power_cut.within_s * SECOND;
