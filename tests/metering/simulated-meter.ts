import { DateTime } from 'luxon';
import type { MeterSpec } from '../../src/metering/index.ts';
import { Calendar, HOUR, MINUTE, wattHours } from '../../src/units/index.ts';
import { spec } from './scenario.ts';

/** What a plug's counters do that a counter should not. */
export const QUIRKS = [
  'plain',
  'restarts at power-on',
  'restarts at midnight',
  'wraps',
  'rolls back',
  'counts both ways',
  'has several registers',
] as const;
export type Quirk = (typeof QUIRKS)[number];

export interface Make {
  readonly quirk: Quirk;
  /** The counter's resolution, Wh. */
  readonly step: number;
  readonly zone: string;
  readonly reporting: MeterSpec['reporting'];
}

const WIDTH = 100_000;
const REGISTERS: readonly (readonly [string, 1 | -1, part: number])[] = [
  ['day', 1, 0.5],
  ['night', 1, 0.7],
  ['fed-in', -1, 0.2],
];

/** One counter as it truly is, and what the books must have of it by now. */
export interface Register {
  readonly id: string | undefined;
  readonly sign: 1 | -1;
  /** How much of the load it counts. */
  readonly part: number;
  /** Wh since it began. */
  true: number;
  /** The last reading that must be believed, Wh. */
  last: number | undefined;
  /** What is to be added to the difference from there, Wh; undefined where that is lost. */
  carry: number | undefined;
  /** What must be booked as counted, mWh, without its sign. */
  booked: number;
}

export interface SimulatedMeter {
  readonly spec: MeterSpec;
  readonly registers: readonly Register[];
  readonly now: () => number;
  readonly load: () => number;
  draw(watts: number): void;
  wait(ms: number): void;
  /** It loses its count, saves an old one, or is replaced; false where this plug never does. */
  upset(kind: 'restart' | 'roll-back' | 'replacement'): boolean;
  shown(register: Register): number;
  /** The meter is to believe what the register shows now. */
  believed(register: Register): void;
  /** Minutes around its midnight, in which a restart cannot be told from going on. */
  isAroundMidnight(): boolean;
}

const mwh = (wh: number): number => Math.round(wh * 1000);

/**
 * A load, a plug and the truth about both. What must be booked, in plain words: from one believed
 * reading of a register to the next the difference; across the end of its width that and the width;
 * where it began anew in between, at power-on or at its last midnight, what it shows now; where it
 * rolled back or was replaced, nothing.
 */
export function simulatedMeter({ quirk, step, zone, reporting }: Make): SimulatedMeter {
  let now = Date.UTC(2025, 2, 29, 11, 58, 20);
  let load = 0;
  const several = quirk === 'has several registers';
  const register = (id: string | undefined, sign: 1 | -1, part: number, wh: number): Register => ({
    id,
    sign,
    part,
    true: wh,
    last: undefined,
    carry: 0,
    booked: 0,
  });
  const start = quirk === 'wraps' ? WIDTH - 300 : quirk === 'restarts at midnight' ? 0 : 5e6;
  const registers = several
    ? REGISTERS.map(([id, sign, part], i) => register(id, sign, part, 3e6 * (i + 2)))
    : [register(undefined, 1, 1, start)];
  const midnightAfter = (at: number): number =>
    DateTime.fromMillis(at, { zone }).startOf('day').plus({ days: 1 }).toMillis();

  function count(ms: number): void {
    now += ms;
    for (const each of registers) {
      each.true += (each.part * load * ms) / HOUR;
      if (quirk !== 'wraps' || each.true < WIDTH) continue;
      each.true -= WIDTH;
      if (each.carry !== undefined) each.carry += WIDTH;
    }
  }

  function beginAnew(each: Register): void {
    each.true = 0;
    each.last = 0;
    each.carry = 0;
  }

  const shown = ({ true: wh }: Register): number =>
    Math.round(Math.floor(wh / step + 1e-9) * step * 1e6) / 1e6;

  return {
    spec: spec({
      reporting,
      counterRestarts:
        quirk === 'restarts at midnight'
          ? 'at-midnight'
          : quirk === 'restarts at power-on'
            ? 'at-power-on'
            : 'never',
      calendar: quirk === 'restarts at midnight' ? new Calendar(zone) : undefined,
      counterWrapsAt: quirk === 'wraps' ? wattHours(WIDTH) : undefined,
      bidirectional: quirk === 'counts both ways',
      signed: quirk === 'counts both ways' || several,
      registers: several ? new Map(REGISTERS.map(([id, sign]) => [id, sign])) : undefined,
    }),
    registers,
    now: () => now,
    load: () => load * registers.reduce((sum, { sign, part }) => sum + sign * part, 0),
    draw(watts) {
      load = quirk === 'counts both ways' ? watts - 700 : watts;
    },
    wait(ms) {
      let left = ms;
      while (quirk === 'restarts at midnight' && midnightAfter(now) <= now + left) {
        const until = midnightAfter(now) - now;
        count(until);
        left -= until;
        for (const each of registers) {
          if (each.last !== undefined) beginAnew(each);
          else each.true = 0;
        }
      }
      count(left);
    },
    upset(kind) {
      const [each] = registers.filter(({ sign }) => sign === 1);
      if (each === undefined) return false;
      if (kind === 'restart' && quirk === 'restarts at power-on' && each.true > 100) {
        beginAnew(each);
        return true;
      }
      if (kind === 'roll-back' && (quirk === 'rolls back' || several)) {
        each.true -= 3 + 2 * step;
        each.carry = undefined;
        return true;
      }
      if (kind === 'replacement' && quirk !== 'restarts at midnight' && quirk !== 'wraps') {
        each.true += 9e6;
        each.carry = undefined;
        return true;
      }
      return false;
    },
    shown,
    believed(each) {
      const { last, carry } = each;
      if (last !== undefined && carry !== undefined) {
        each.booked += mwh(shown(each)) + mwh(carry) - mwh(last);
      }
      each.last = shown(each);
      each.carry = 0;
    },
    isAroundMidnight() {
      if (quirk !== 'restarts at midnight') return false;
      const since = now - DateTime.fromMillis(now, { zone }).startOf('day').toMillis();
      return since <= 11 * MINUTE;
    },
  };
}
