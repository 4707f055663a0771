import { type Instant, slotOf } from '../units/index.ts';
import type { ClimateSlot } from './climate.ts';
import type { Reading } from './reading.ts';

/** What became of a reading: only 'taken' changes a slot. */
export type ClimateOutcome =
  | 'taken'
  | 'duplicate' // same probe, measure, time and value again
  | 'out-of-order' // older than the last one taken
  | 'not-climate'; // no temperature and no humidity

/** Sums up probe readings by slot. */
export interface ClimateBook {
  add(reading: Reading): ClimateOutcome;
  /**
   * What came since the last drain, one row for every probe, measure and slot touched: to be merged
   * into what is stored by adding `count` and `sum` and widening `min` and `max`.
   */
  drain(): ClimateSlot[];
  /** How many readings ended as what since the start. */
  counts(): Readonly<Record<ClimateOutcome, number>>;
}

interface Increment {
  slot: Instant;
  count: number;
  sum: number;
  min: number;
  max: number;
}

/** One measure of one probe. */
interface Lane {
  readonly probe: string;
  readonly measure: ClimateSlot['measure'];
  lastAt: Instant;
  lastValue: number;
  /** Slots touched since the last drain, oldest first: readings come in order. */
  increments: Increment[];
}

export function createClimateBook(): ClimateBook {
  const lanes = {
    temperature: new Map<string, Lane>(),
    humidity: new Map<string, Lane>(),
  };
  const touched = new Set<Lane>();
  const outcomes = { taken: 0, duplicate: 0, 'out-of-order': 0, 'not-climate': 0 };

  function take({ id: probe, measure, at, value }: Reading): ClimateOutcome {
    if (measure !== 'temperature' && measure !== 'humidity') return 'not-climate';
    let lane = lanes[measure].get(probe);
    if (lane === undefined) {
      lane = { probe, measure, lastAt: at, lastValue: value, increments: [] };
      lanes[measure].set(probe, lane);
    } else if (at < lane.lastAt) {
      return 'out-of-order';
    } else if (at === lane.lastAt && value === lane.lastValue) {
      return 'duplicate';
    }
    lane.lastAt = at;
    lane.lastValue = value;
    widen(lane.increments, slotOf(at), value);
    touched.add(lane);
    return 'taken';
  }

  return {
    add(reading) {
      const outcome = take(reading);
      outcomes[outcome] += 1;
      return outcome;
    },
    drain() {
      const rows = [...touched].flatMap(({ probe, measure, increments }) =>
        increments.map((increment): ClimateSlot => ({ probe, measure, ...increment })),
      );
      for (const lane of touched) lane.increments = [];
      touched.clear();
      return rows;
    },
    counts: () => ({ ...outcomes }),
  };
}

function widen(increments: Increment[], slot: Instant, value: number): void {
  const last = increments.at(-1);
  if (last?.slot !== slot) {
    increments.push({ slot, count: 1, sum: value, min: value, max: value });
    return;
  }
  last.count += 1;
  last.sum += value;
  if (value < last.min) last.min = value;
  if (value > last.max) last.max = value;
}
