/** How many plugs report how often: everything about a stream follows from it. */
export interface StreamPlan {
  readonly plugs: number;
  /** Each plug reports once a round. */
  readonly rounds: number;
  /** When the first round begins, ms since 1970. */
  readonly from: number;
}

/** One message of one plug, before it is written as JSON. */
export interface Report {
  readonly plug: number;
  readonly at: number;
  /** The counter, whole Wh. */
  readonly wh: number;
  readonly watts: number;
}

/** Time between two reports of a plug, ms. */
export const ROUND = 10_000;

/** The gear of an invented fish house, in turn from plug to plug. */
export const LOADS = [
  { kind: 'heater', watts: 200 },
  { kind: 'filter', watts: 18 },
  { kind: 'light', watts: 45 },
  { kind: 'pump', watts: 85 },
  { kind: 'fan', watts: 6 },
] as const;

export const loadOf = (plug: number): (typeof LOADS)[number] =>
  LOADS[plug % LOADS.length] as (typeof LOADS)[number];

export const socketOf = (plug: number): string => String(plug + 1).padStart(4, '0');

export const topicOf = (plug: number): string => `fish/wall/${socketOf(plug)}/report`;

/** A heater's thermostat switches about this often, rounds. */
const SWITCHES_EVERY = 60;

/** The reports in the order of their time: the same plan gives the same reports. */
export function* reports({ plugs, rounds, from }: StreamPlan): Generator<Report> {
  const chance = chanceFrom(20_260_117);
  const drawn = Float64Array.from({ length: plugs }, () => 1e5 * chance());
  const on = Uint8Array.from({ length: plugs }, () => 1);
  for (let round = 0; round < rounds; round += 1) {
    for (let plug = 0; plug < plugs; plug += 1) {
      const { kind, watts: rated } = loadOf(plug);
      if (kind === 'heater' && chance() * SWITCHES_EVERY < 1) on[plug] = 1 - (on[plug] as number);
      const noise = 0.98 + 0.04 * chance();
      const watts = on[plug] === 1 ? Math.round(10 * rated * noise) / 10 : 0;
      drawn[plug] = (drawn[plug] as number) + (watts * ROUND) / 3_600_000;
      yield {
        plug,
        // Plugs speak one after the other, not all at once.
        at: from + round * ROUND + Math.floor((ROUND * plug) / plugs),
        wh: Math.floor(drawn[plug] as number),
        watts,
      };
    }
  }
}

/** By plug, what its counter rose by from its first to its last report, mWh. */
export function risesOf(plan: StreamPlan): Float64Array {
  const first = new Float64Array(plan.plugs).fill(Number.NaN);
  const rises = new Float64Array(plan.plugs);
  for (const { plug, wh } of reports(plan)) {
    if (Number.isNaN(first[plug])) first[plug] = wh;
    rises[plug] = (wh - (first[plug] as number)) * 1000;
  }
  return rises;
}

/** The payload that config/fish-room.yaml describes for its wall sockets, and a little more. */
export function payloadOf({ at, wh, watts }: Report): string {
  const total = (wh / 1000).toFixed(3);
  const today = ((wh % 4000) / 1000).toFixed(3);
  const apparent = (watts * 1.02).toFixed(1);
  const clock = new Date(at).toISOString().replace(/\.\d+Z$/, '+00:00');
  return `{"meter":{"sum_kwh":${total},"today_kwh":${today},"draw_w":${watts},"apparent_va":${apparent},"factor":0.98},"clock":"${clock}","signal_dbm":-61,"uptime_s":${((at / 1000) % 1e6) | 0}}`;
}

/** Numbers in [0, 1) that are the same for the same seed (mulberry32, public domain). */
function chanceFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
