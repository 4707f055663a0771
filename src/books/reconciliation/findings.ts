import type { Known } from '../../metering/index.ts';
import {
  type Calendar,
  type Instant,
  type LocalDate,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
  SLOT,
} from '../../units/index.ts';
import { KNOWN } from '../tally.ts';
import type { BillCheck } from './bill.ts';
import { bothKnow, type Sides } from './compare.ts';
import { slotAt } from './slots.ts';

export type EnergyByKnown = Readonly<Record<Known, MilliwattHours>>;

/** An hour in which the fish room drew more than the whole house did. */
export interface ImpossibleHour {
  readonly from: Instant;
  readonly house: MilliwattHours;
  readonly fishRoom: MilliwattHours;
  readonly byKnown: EnergyByKnown;
  /** By how much at least: what is only spread evenly over its time is left out. */
  readonly excess: MilliwattHours;
}

/** Something that does not add up, or that the figures lack, in stable words. */
export type ReconcileFinding =
  | {
      readonly code: 'house-below-fish-room';
      /** How many hours in all. */
      readonly count: number;
      readonly excess: MilliwattHours;
      /** How the fish room's energy in all of them is known. */
      readonly byKnown: EnergyByKnown;
      /** Worst first, at most ten. */
      readonly hours: readonly ImpossibleHour[];
    }
  | {
      readonly code: 'bill-differs-from-intervals';
      readonly stated: MilliwattHours;
      readonly counted: MilliwattHours;
      /** Stated less counted. */
      readonly difference: MilliwattHours;
      /** Of what was counted; undefined where nothing was. */
      readonly fraction: number | undefined;
    }
  | {
      readonly code: 'bill-differs-from-tariff';
      readonly stated: MicroUnits;
      readonly computed: MicroUnits;
      /** Stated less computed. */
      readonly difference: MicroUnits;
      readonly tolerance: MicroUnits;
    }
  | {
      readonly code: 'intervals-missing';
      readonly days: readonly LocalDate[];
      readonly time: Millis;
    }
  | {
      readonly code: 'fish-room-missing';
      /** Summed over devices. */
      readonly time: Millis;
      /** Of the time there was to know about. */
      readonly fraction: number;
    }
  | {
      readonly code: 'reckoned-large';
      readonly reckoned: MilliwattHours;
      /** Of the fish room's energy. */
      readonly fraction: number;
    };

/** What the findings look at besides the slots. */
export interface RoomTotals {
  readonly energy: MilliwattHours;
  readonly byKnown: EnergyByKnown;
  readonly missing: Millis;
  readonly elapsed: Millis;
}

/** Utilities give hours in whole Wh or ten of them; so much is rounding. mWh. */
const HOUR_ROUNDING = 10_000;
/** How far a plug may read high: they are seldom built to a class, and 2 % is usual (no source). */
const PLUG_HIGH = 0.02;
const MOST_HOURS = 10;
/** A device misses a minute now and then; as for blocks, 99 % of the time is as good as all. */
const MISSING_WORTH_SAYING = 0.01;
/** Beyond a third the whole says more about nameplates than about meters. */
const RECKONED_LARGE = 1 / 3;

export function findings(
  sides: Sides,
  room: RoomTotals,
  bill: BillCheck,
  calendar: Calendar,
): ReconcileFinding[] {
  const all = [
    houseBelow(sides),
    billAgainstIntervals(bill, sides),
    billAgainstTariff(bill),
    intervalsMissing(sides, calendar),
    fishRoomMissing(room),
    reckonedLarge(room),
  ];
  return all.filter((finding) => finding !== undefined);
}

function houseBelow(sides: Sides): ReconcileFinding | undefined {
  const hours = impossibleHours(sides);
  if (hours.length === 0) return undefined;
  const sum = (of: (hour: ImpossibleHour) => number): MilliwattHours =>
    hours.reduce((before, hour) => before + of(hour), 0) as MilliwattHours;
  return {
    code: 'house-below-fish-room',
    count: hours.length,
    excess: sum(({ excess }) => excess),
    byKnown: byKnownOf((known) => sum(({ byKnown }) => byKnown[known])),
    hours: hours.sort((a, b) => b.excess - a.excess || a.from - b.from).slice(0, MOST_HOURS),
  };
}

const byKnownOf = (of: (known: Known, place: number) => number): EnergyByKnown =>
  Object.fromEntries(KNOWN.map((known, place) => [known, of(known, place)])) as Record<
    Known,
    MilliwattHours
  >;

/** Only hours of which both sides know all, and for which the house was not spread. */
function impossibleHours(sides: Sides): ImpossibleHour[] {
  const { grid, house, fishRoom } = sides;
  const judged = new Uint8Array(grid.hoursPassed).fill(1);
  for (const { first, energy, cut } of house.long) {
    if (!cut && grid.passed[first] === grid.passed[first + energy.length - 1]) continue;
    energy.forEach((_, offset) => {
      judged[grid.passed[first + offset] ?? -1] = 0;
    });
  }
  const hours: ImpossibleHour[] = [];
  let end = 0;
  for (let first = 0; first < grid.count; first = end) {
    const hour = grid.passed[first] ?? 0;
    let known = judged[hour] === 1;
    let [houseSum, roomSum, spread] = [0, 0, 0];
    for (end = first; end < grid.count && grid.passed[end] === hour; end += 1) {
      known &&= bothKnow(sides, end);
      houseSum += house.energy[end] ?? 0;
      roomSum += fishRoom.energy[end] ?? 0;
      spread += Math.max(0, fishRoom.spread[end] ?? 0);
    }
    const sure = roomSum - spread;
    const excess = sure - houseSum;
    if (!known || excess <= HOUR_ROUNDING + PLUG_HIGH * sure) continue;
    const [from, to] = [first, end];
    hours.push({
      from: slotAt(grid, from),
      house: houseSum as MilliwattHours,
      fishRoom: roomSum as MilliwattHours,
      byKnown: byKnownOf((_, place) =>
        (fishRoom.byKnown[place] ?? new Float64Array())
          .subarray(from, to)
          .reduce((a, b) => a + b, 0),
      ),
      excess: excess as MilliwattHours,
    });
  }
  return hours;
}

/** Where intervals are missing they can only be too little, so only too much proves anything. */
function billAgainstIntervals(
  { kept, counted, energyTolerance }: BillCheck,
  { house }: Sides,
): ReconcileFinding | undefined {
  const stated = kept?.energy;
  if (stated === undefined) return undefined;
  const sum = counted ?? (house.energy.reduce((a, b) => a + b, 0) as MilliwattHours);
  const difference = (stated - sum) as MilliwattHours;
  const apart = counted === undefined ? -difference : Math.abs(difference);
  if (apart <= energyTolerance) return undefined;
  return {
    code: 'bill-differs-from-intervals',
    stated,
    counted: sum,
    difference,
    fraction: sum > 0 ? difference / sum : undefined,
  };
}

function billAgainstTariff(bill: BillCheck): ReconcileFinding | undefined {
  const { kept, computed, totalDifference: difference } = bill;
  if (kept?.total === undefined || computed === undefined || difference === undefined) {
    return undefined;
  }
  if (Math.abs(difference) <= computed.tolerance) return undefined;
  return {
    code: 'bill-differs-from-tariff',
    stated: kept.total,
    computed: computed.total,
    difference,
    tolerance: computed.tolerance,
  };
}

function intervalsMissing(
  { grid, house }: Sides,
  calendar: Calendar,
): ReconcileFinding | undefined {
  if (house.meters === 0) return undefined;
  const days = new Set<LocalDate>();
  let time = 0;
  for (let index = 0; index < grid.count; index += 1) {
    const missing = SLOT - (house.covered[index] ?? 0);
    if (missing <= 0) continue;
    time += missing;
    days.add(calendar.dateAt(slotAt(grid, index)));
  }
  if (time === 0) return undefined;
  return { code: 'intervals-missing', days: [...days], time: time as Millis };
}

function fishRoomMissing({ missing, elapsed }: RoomTotals): ReconcileFinding | undefined {
  if (elapsed <= 0 || missing <= elapsed * MISSING_WORTH_SAYING) return undefined;
  return { code: 'fish-room-missing', time: missing, fraction: missing / elapsed };
}

function reckonedLarge({
  energy,
  byKnown: { reckoned },
}: RoomTotals): ReconcileFinding | undefined {
  if (energy <= 0 || reckoned <= energy * RECKONED_LARGE) return undefined;
  return { code: 'reckoned-large', reckoned, fraction: reckoned / energy };
}
