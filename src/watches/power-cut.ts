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
  /** The plugs that vanished: it is over when they are back, after a restart too. */
  readonly lost: readonly string[];
}

/** The time within which a source vanished: after its last word, at the latest when that was due. */
export interface Vanished {
  readonly plug: string;
  readonly room: string | undefined;
  readonly after: Instant;
  readonly by: Instant;
}

export interface PowerCutInput {
  readonly config: WatchesConfig;
  readonly room: string;
  /** All plugs of the site. */
  readonly plugs: number;
  /** Those that speak now. */
  readonly speaking: ReadonlySet<string>;
  /** Whether one speaks as often as it should: else it is not back for good. */
  readonly isBack: (plug: string) => boolean;
  /** Those that vanished together. */
  readonly together: readonly Vanished[];
  /** The room that lost the most of them. */
  readonly worst: string | undefined;
  readonly probesHeard: number;
}

const powered: PowerCutState = { cut: openLatch, lost: [] };
const HOLD = MINUTE;
/** Power that has been back for so long stays, mostly. Estimate. */
const SETTLE = 10 * MINUTE;

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
  const { config, together, plugs, speaking, worst, room, probesHeard } = input;
  const { plugs: least } = config.power_cut;
  const missing = state.lost.filter((plug) => !speaking.has(plug));
  const isCut = together.length >= least;
  const isMine = isCut && worst === room;
  const over = isMine || missing.length >= least;
  const away = state.lost.filter((plug) => !input.isBack(plug));
  const calm = !over && away.length < least;
  const cut = latch(state.cut, { over, calm, hold: HOLD, settle: SETTLE }, now);
  const lost = isMine
    ? [...new Set([...missing, ...together.map(({ plug }) => plug)])].sort()
    : cut.since === undefined
      ? []
      : state.lost;
  const isSame = cut === state.cut && String(lost) === String(state.lost);
  const next = isSame ? state : { cut, lost };
  const say = (verdict: Finding['verdict'], reason: PowerCutReason, proof: Evidence[]) => ({
    state: next,
    finding: possibleWarning(verdict, reason, proof, HOLD as Millis),
  });
  const gone = lost.filter((plug) => !speaking.has(plug)).length;
  const proof: Evidence[] = [];
  if (cut.since === undefined) {
    const few = plugs < least;
    const reason = isCut ? 'elsewhere' : few ? 'too-few-plugs' : 'plugs-heard';
    return say(few ? 'unknown' : 'quiet', reason, proof);
  }
  note(proof, 'plugs-gone', gone / Math.max(1, gone + speaking.size), 'fraction');
  note(proof, 'gone-for', now - cut.since, 'ms', cut.since);
  if (speaking.size > 0) return say('raised', 'some-plugs-vanished', proof);
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
