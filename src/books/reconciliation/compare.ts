import { type Millis, type MilliwattHours, SLOT } from '../../units/index.ts';
import type { FishRoomSlots } from './fish-room.ts';
import type { HouseSlots } from './house.ts';
import type { SlotGrid } from './slots.ts';

/** The house and its fish room over some of the slots of a span. */
export interface Comparison {
  /** What the intervals counted; undefined where none reaches into it. */
  readonly house: MilliwattHours | undefined;
  /** The part of `house` that stands here only by spreading a longer interval evenly. */
  readonly spread: MilliwattHours;
  readonly fishRoom: MilliwattHours;
  /** The part of `fishRoom` that is bridged or reckoned, not measured. */
  readonly guessed: MilliwattHours;
  /** The time of which both are known, and what each drew in it. */
  readonly both: {
    readonly time: Millis;
    readonly house: MilliwattHours;
    readonly fishRoom: MilliwattHours;
  };
  /** What the rest of the house drew while both are known; undefined where they never are. */
  readonly rest: MilliwattHours | undefined;
  /**
   * The fish room's part of the house while both are known, 0–1; undefined where they never are, or
   * the house drew nothing. Above 1 the two contradict each other: see the findings.
   */
  readonly part: number | undefined;
}

export interface Sides {
  readonly grid: SlotGrid;
  readonly house: HouseSlots;
  readonly fishRoom: FishRoomSlots;
}

/** Whether both sides know the whole slot. */
export const bothKnow = ({ house, fishRoom }: Sides, index: number): boolean =>
  house.covered[index] === SLOT && fishRoom.known[index] === 1;

interface Sums {
  house: number;
  touched: boolean;
  spread: number;
  fishRoom: number;
  guessed: number;
  time: number;
  bothHouse: number;
  bothFishRoom: number;
}

/**
 * Sums over slots that belong together: every slot is in exactly one row, so that the rows of any
 * grouping sum to the same.
 * @param rowOf number of the row of each slot
 */
export function compare(
  sides: Sides,
  rows: number,
  rowOf: (index: number) => number,
): Comparison[] {
  const { grid, house, fishRoom } = sides;
  const sums = Array.from({ length: rows }, (): Sums => {
    return {
      house: 0,
      touched: false,
      spread: 0,
      fishRoom: 0,
      guessed: 0,
      time: 0,
      bothHouse: 0,
      bothFishRoom: 0,
    };
  });
  for (let index = 0; index < grid.count; index += 1) {
    const sum = sums[rowOf(index)];
    if (sum === undefined) continue;
    const houseEnergy = house.energy[index] ?? 0;
    const fishRoomEnergy = fishRoom.energy[index] ?? 0;
    sum.house += houseEnergy;
    sum.fishRoom += fishRoomEnergy;
    sum.guessed += fishRoom.guessed[index] ?? 0;
    if (house.touched[index] === 1) sum.touched = true;
    if (!bothKnow(sides, index)) continue;
    sum.time += SLOT;
    sum.bothHouse += houseEnergy;
    sum.bothFishRoom += fishRoomEnergy;
  }
  for (const { first, energy, cut } of house.long) {
    if (!cut && energy.every((_, offset) => rowOf(first + offset) === rowOf(first))) continue;
    energy.forEach((part, offset) => {
      const sum = sums[rowOf(first + offset)];
      if (sum !== undefined) sum.spread += part;
    });
  }
  return sums.map(comparisonOf);
}

function comparisonOf(sum: Sums): Comparison {
  const { time, bothHouse, bothFishRoom } = sum;
  return {
    house: sum.touched ? (sum.house as MilliwattHours) : undefined,
    spread: sum.spread as MilliwattHours,
    fishRoom: sum.fishRoom as MilliwattHours,
    guessed: sum.guessed as MilliwattHours,
    both: {
      time: time as Millis,
      house: bothHouse as MilliwattHours,
      fishRoom: bothFishRoom as MilliwattHours,
    },
    rest: time > 0 ? ((bothHouse - bothFishRoom) as MilliwattHours) : undefined,
    part: bothHouse > 0 ? bothFishRoom / bothHouse : undefined,
  };
}
