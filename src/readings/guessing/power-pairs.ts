import { HOUR } from '../../units/index.ts';
import { grouped } from './grouped.ts';
import type { Unit } from './name-hints.ts';
import type { Seen } from './seen.ts';
import type { Verdict } from './verdict.ts';

/**
 * Holds counters against the power beside them, under the same parent key of one payload or on a
 * sister topic: a counter must rise as that power says, and does so in one unit only.
 */
export function comparePairs(seen: readonly Seen[]): Seen[] {
  const settled = new Map<Seen, Verdict>();
  for (const beside of grouped(seen, parentOf).values()) {
    const powers = beside.filter(({ verdict }) => verdict.is === 'power');
    const [power] = powers;
    if (power === undefined || powers.length > 1) continue;
    for (const counter of beside.filter(({ verdict }) => verdict.is === 'counter')) {
      const pair = settle(power, counter);
      if (pair === undefined) continue;
      settled.set(power, pair.power);
      settled.set(counter, pair.counter);
    }
  }
  return seen.map((one) => ({ ...one, verdict: settled.get(one) ?? one.verdict }));
}

const upToLast = (path: string): string => path.slice(0, path.lastIndexOf('/') + 1);

const parentOf = ({ observation: { topic, at } }: Seen): string =>
  at === undefined ? upToLast(topic) : `${topic}\0${upToLast(at)}`;

const IN_WATTS: Readonly<Partial<Record<Unit, number>>> = { W: 1, kW: 1000, mW: 1 / 1000 };

const PER_WATT_HOUR: readonly (readonly [Unit, number])[] = [
  ['kWh', 1 / 1000],
  ['Wh', 1],
  ['mWh', 1000],
  ['Ws', 3600],
  ['Wmin', 60],
];

/** Steps of the counter and samples of the power leave this much room either way. */
const AGREES = 1.6;

/** A load below is standby; a counter in fractions that follows it more likely counts kWh. */
const SMALLEST_LOAD_W = 5;

function settle(power: Seen, counter: Seen): { power: Verdict; counter: Verdict } | undefined {
  if (power.shape === undefined || counter.shape === undefined) return undefined;
  const { first, last, falls, rises, whole } = counter.shape;
  const watts = Math.abs(power.shape.mean) * (IN_WATTS[power.verdict.unit ?? 'W'] ?? 1);
  const wattHours = (watts * (last.arrived - first.arrived)) / HOUR;
  if (falls > 0 || rises < 2 || wattHours === 0) return undefined;
  const rise = last.value - first.value;
  const fitting = PER_WATT_HOUR.find(([, per]) => {
    const ratio = rise / (wattHours * per);
    return ratio > 1 / AGREES && ratio < AGREES;
  });
  if (fitting === undefined) return undefined;

  const kilo = fitting[0] === 'Wh' && !whole && !power.verdict.unitNamed && watts < SMALLEST_LOAD_W;
  const unit = kilo ? 'kWh' : fitting[0];
  const confidence = rises > 2 && !kilo ? 'sure' : 'likely';
  const both = { confidence } as const;
  return {
    power: {
      ...power.verdict,
      ...both,
      unit: kilo ? 'kW' : power.verdict.unit,
      reasons: [...power.verdict.reasons, 'the counter beside it rises as it says'],
    },
    counter: {
      ...counter.verdict,
      ...both,
      unit,
      reasons: [...counter.verdict.reasons, `rises in ${unit} as the power beside it says`],
    },
  };
}
