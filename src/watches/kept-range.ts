import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import type { Evidence, Finding } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { noteTimeBack } from './tank-heat.ts';
import { note, type TankView } from './views.ts';

/** Both edges of the kept range are watched alike; this is one edge. */
export interface KeptRangeState {
  readonly out: Latch;
  readonly far: Latch;
}

export const insideRange: KeptRangeState = { out: openLatch, far: openLatch };

export interface TankInput {
  readonly config: WatchesConfig;
  readonly tank: TankView;
  /** What its heaters draw now, W; undefined where no plug tells. */
  readonly heatingW: number | undefined;
  /** What all its heaters together can give, W. */
  readonly heatersW: number;
  /** What each device draws that warms or cools it, W, as far as plugs tell; asked for when it matters. */
  readonly draws: () => readonly Draw[];
}

/** What a device draws now, W. */
export interface Draw {
  readonly device: string;
  readonly power: number;
  readonly at: Instant | undefined;
}

export interface Edge<Reason extends string> {
  readonly is: 'too-warm' | 'too-cold';
  /** How far a temperature lies outside, K; negative inside. */
  readonly beyond: (celsius: number) => number;
  readonly hold: Millis;
  readonly reasons: {
    readonly out: Reason;
    readonly far: Reason;
    readonly inside: Reason;
  };
  readonly limit: { readonly what: string; readonly value: number };
}

export type NoProbeReason = 'no-probe' | 'probe-silent';

/**
 * One probe outside is enough, the worst of several is taken: two that disagree are themselves worth
 * a look. Only probes that all say so make it certain.
 */
export function lookAtEdge<Reason extends string>(
  before: KeptRangeState | undefined,
  { config, tank, heatingW, heatersW, draws }: TankInput,
  edge: Edge<Reason>,
  now: Instant,
): { state: KeptRangeState; finding: Finding } {
  const state = before ?? insideRange;
  const rule = config.out_of_range;
  const plain = { severity: 'warning', confidence: 'likely', hold: edge.hold } as const;
  const [first, ...others] = tank.temperatures;
  if (first === undefined) {
    const reason: NoProbeReason = tank.probes === 0 ? 'no-probe' : 'probe-silent';
    return { state, finding: { ...plain, verdict: 'unknown', reason, evidence: [] } };
  }
  const worst = others.reduce((a, b) => (edge.beyond(b) > edge.beyond(a) ? b : a), first);
  const by = edge.beyond(worst);
  const settle = rule.hold_min * MINUTE;
  const out = latch(
    state.out,
    { over: by > 0, calm: by <= -rule.reenter_k, hold: edge.hold, settle },
    now,
  );
  const far = latch(
    state.far,
    {
      over: by >= rule.critical_beyond_k,
      calm: by < rule.critical_beyond_k - rule.reenter_k,
      hold: Math.min(edge.hold, FAR_HOLD),
      settle,
    },
    now,
  );
  const next = out === state.out && far === state.far ? state : { out, far };
  const evidence: Evidence[] = [];
  note(evidence, 'tank-temperature', worst, 'C', tank.at);
  note(evidence, edge.limit.what, edge.limit.value, 'C');
  note(evidence, 'half-hour-change', tank.change, 'K', tank.at);
  note(evidence, 'room-temperature', tank.room, 'C');
  note(evidence, 'heater-power', heatingW, 'W');
  if (out.since === undefined) {
    return {
      state: next,
      finding: { ...plain, verdict: 'quiet', reason: edge.reasons.inside, evidence },
    };
  }
  for (const { device, power, at } of draws()) {
    note(evidence, 'draws', power, 'W', at, { kind: 'device', id: device });
  }
  // Too warm, its heaters will be off soon; too cold, they should do what they can.
  noteTimeBack(evidence, tank, edge.is, edge.is === 'too-warm' ? 0 : heatersW);
  const agreed = others.length > 0 && tank.temperatures.every((it) => edge.beyond(it) > 0);
  return {
    state: next,
    finding: {
      verdict: 'raised',
      severity: far.held ? 'critical' : 'warning',
      reason: far.held ? edge.reasons.far : edge.reasons.out,
      confidence: agreed ? 'certain' : 'likely',
      evidence,
      hold: far.held ? (Math.min(edge.hold, rule.hold_min * MINUTE) as Millis) : edge.hold,
    },
  };
}

const FAR_HOLD = (2 * MINUTE) as Millis;
