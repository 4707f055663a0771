import { Calendar } from '../../units/index.ts';
import type { Sample } from './survey.ts';

/** How a series of numbers behaves. */
export interface SeriesShape {
  readonly count: number;
  readonly min: number;
  readonly max: number;
  /** All different values. */
  readonly values: ReadonlySet<number>;
  readonly first: Sample;
  readonly last: Sample;
  readonly rises: number;
  readonly falls: number;
  /** All numbers are whole. */
  readonly whole: boolean;
  readonly largestStep: number;
  /** Falls to next to nothing, as when a counter starts again. */
  readonly restarts: readonly Sample[];
  /** There were restarts, and each was at midnight. */
  readonly restartsAtMidnight: boolean;
  /** Mean by time from the first to the last sample, each holding until the next. */
  readonly mean: number;
}

/** A counter that starts again shows less than this part of what it had. */
const NEXT_TO_NOTHING = 0.05;

/** Undefined without samples. Retained ones count only where there are no others. */
export function shapeOf(samples: readonly Sample[], zone: string): SeriesShape | undefined {
  const live = samples.filter(({ retained }) => !retained);
  const series = live.length > 0 ? live : samples;
  const [first] = series;
  const last = series.at(-1);
  if (first === undefined || last === undefined) return undefined;

  const restarts: Sample[] = [];
  let rises = 0;
  let falls = 0;
  let largestStep = 0;
  let area = 0;
  let before = first;
  for (const sample of series.slice(1)) {
    const step = sample.value - before.value;
    if (step > 0) rises += 1;
    if (step < 0) falls += 1;
    if (step < 0 && sample.value >= 0 && sample.value < before.value * NEXT_TO_NOTHING) {
      restarts.push(sample);
    }
    largestStep = Math.max(largestStep, Math.abs(step));
    area += before.value * (sample.arrived - before.arrived);
    before = sample;
  }
  const values = series.map(({ value }) => value);
  const span = last.arrived - first.arrived;
  return {
    count: series.length,
    min: values.reduce((a, b) => Math.min(a, b)),
    max: values.reduce((a, b) => Math.max(a, b)),
    values: new Set(values),
    first,
    last,
    rises,
    falls,
    whole: values.every(Number.isInteger),
    largestStep,
    restarts,
    restartsAtMidnight: restarts.length > 0 && restarts.every(nearMidnight(new Calendar(zone))),
    mean: span > 0 ? area / span : first.value,
  };
}

const QUARTER = 15;

/** Within the quarter-hours beside midnight: plugs' clocks are seldom right to the second. */
const nearMidnight =
  (calendar: Calendar) =>
  ({ arrived }: Sample): boolean => {
    const { minute } = calendar.local(arrived);
    return minute === 0 || minute === 24 * 60 - QUARTER;
  };
