import { CodedError, DAY, HOUR, type Instant } from '../units/index.ts';
import { type Moments, noMoments, withPoint } from './moments.ts';
import type { HeatWindow } from './windows.ts';

/**
 * A UTC day's windows, weighed by their hours. Variables: T − T_room, K; heat of other devices, W;
 * heat of the heaters less what the water stored, W.
 */
export interface HeatDay extends Moments {
  /** Days since 1970-01-01. */
  readonly day: number;
}

/** Places of a day's variables. */
export const DIFFERENCE = 0;
export const OTHER = 1;
export const NEEDED = 2;
const VARIABLES = 3;

/**
 * What a tank has shown of its heat loss. Plain JSON of a bounded size: fifteen numbers a day. Not one
 * running sum, since the fit weighs days anew each time, and forgets old ones.
 */
export interface HeatMemory {
  readonly version: 1;
  /** The end of the last window taken in. */
  readonly until: Instant;
  /** Oldest first. */
  readonly days: readonly HeatDay[];
}

/** Longer ago the lid, the light or the season was another. Judgment, no source. */
const KEPT_DAYS = 30;

export const emptyHeatMemory: HeatMemory = { version: 1, until: 0 as Instant, days: [] };

/**
 * Takes a window in. One that begins before the last one's end is taken in already and changes
 * nothing, so that a job may be repeated.
 * @param storeJPerK C of the tank: what the water stored meanwhile was not lost
 */
export function withWindow(memory: HeatMemory, window: HeatWindow, storeJPerK: number): HeatMemory {
  const { from, to } = window;
  if (from < memory.until || !(to > from)) return memory;
  const hours = (to - from) / HOUR;
  const storedW = (storeJPerK * window.changeK) / (hours * 3600);
  const values = [window.meanTankC - window.meanRoomC, window.otherW, window.heaterW - storedW];
  if (!values.every(Number.isFinite)) return memory;
  const day = Math.floor(from / DAY);
  const last = memory.days.at(-1);
  const same = last?.day === day ? last : undefined;
  const today: HeatDay = { day, ...withPoint(same ?? noMoments, values, hours) };
  const earlier = same === undefined ? memory.days : memory.days.slice(0, -1);
  return {
    version: 1,
    until: to,
    days: [...earlier.filter((it) => it.day > day - KEPT_DAYS), today],
  };
}

const numbers = (values: unknown, length: number): boolean =>
  Array.isArray(values) && values.length === length && values.every(Number.isFinite);

const isDay = (day: Partial<HeatDay> | null): boolean =>
  numbers([day?.day, day?.n, day?.weight], 3) &&
  numbers(day?.mean, VARIABLES) &&
  numbers(day?.products, VARIABLES ** 2);

/**
 * A memory as it was stored.
 * @throws CodedError AMP_HEAT_MEMORY when it is none, or of another version
 */
export function readHeatMemory(stored: unknown): HeatMemory {
  const memory = stored as Partial<HeatMemory> | null;
  const sound =
    memory?.version === 1 &&
    Number.isFinite(memory.until) &&
    Array.isArray(memory.days) &&
    memory.days.every(isDay);
  if (!sound) {
    throw new CodedError(
      'AMP_HEAT_MEMORY',
      'what was stored of a tank’s heat loss cannot be read: not version 1, or damaged',
      { remedy: 'forget it; it is learned again within days' },
    );
  }
  return memory as HeatMemory;
}
