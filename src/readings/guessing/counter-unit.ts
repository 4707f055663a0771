import { HOUR } from '../../units/index.ts';
import type { Unit } from './name-hints.ts';
import type { SeriesShape } from './series-shape.ts';
import type { Observation } from './survey.ts';
import type { Verdict } from './verdict.ts';

interface Seen {
  readonly observation: Observation;
  readonly shape: SeriesShape | undefined;
  readonly verdict: Verdict;
}

/** Mean watts of the only power that is told beside a counter, if there is one. */
export type PowerBeside = (counter: Observation) => number | undefined;

/** Beside means under the same parent key of one payload, or on a sister topic. */
export function powersBesideCounters(seen: readonly Seen[]): PowerBeside {
  const powers = new Map<string, number[]>();
  for (const { observation, shape, verdict } of seen) {
    if (verdict.is !== 'power' || shape === undefined) continue;
    const key = parentOf(observation);
    const watts = shape.mean * (IN_WATTS[verdict.unit ?? 'W'] ?? 1);
    powers.set(key, [...(powers.get(key) ?? []), watts]);
  }
  return (counter) => {
    const beside = powers.get(parentOf(counter)) ?? [];
    return beside.length === 1 ? beside[0] : undefined;
  };
}

const IN_WATTS: Readonly<Partial<Record<Unit, number>>> = { W: 1, kW: 1000, mW: 1 / 1000 };

const upToLast = (path: string): string => path.slice(0, path.lastIndexOf('/') + 1);

const parentOf = ({ topic, at }: Observation): string =>
  at === undefined ? upToLast(topic) : `${topic}\0${upToLast(at)}`;

const PER_WATT_HOUR: readonly (readonly [Unit, number])[] = [
  ['kWh', 1 / 1000],
  ['Wh', 1],
  ['mWh', 1000],
  ['Ws', 3600],
  ['Wmin', 60],
];

/** Steps of the counter and samples of the power leave this much room either way. */
const AGREES = 1.6;

/** A counter must rise as the power beside it says; the unit in which it does is the right one. */
export function unitByPower(
  counter: Verdict,
  shape: SeriesShape,
  watts: number | undefined,
): Verdict {
  const rise = shape.last.value - shape.first.value;
  const hours = (shape.last.arrived - shape.first.arrived) / HOUR;
  if (watts === undefined || !(watts > 0) || shape.falls > 0 || shape.rises < 3) return counter;
  const fitting = PER_WATT_HOUR.find(([, per]) => {
    const ratio = rise / (watts * hours * per);
    return ratio > 1 / AGREES && ratio < AGREES;
  });
  if (fitting === undefined) return counter;
  const [unit] = fitting;
  return {
    ...counter,
    unit,
    confidence: 'sure',
    reasons: [...counter.reasons, `rises in ${unit} as the power beside it says`],
  };
}
