import type { Known } from '../../metering/index.ts';
import { SLOT } from '../../units/index.ts';
import type { Account } from '../account.ts';
import type { Entry } from '../entry.ts';
import { KNOWN } from '../tally.ts';
import { indexOf, type SlotGrid } from './slots.ts';

/** What the fish room drew, slot by slot. */
export interface FishRoomSlots {
  /** mWh in each slot, for each way of knowing in the order of KNOWN. */
  readonly byKnown: readonly Float64Array[];
  readonly energy: Float64Array;
  /** mWh that is bridged or reckoned. */
  readonly guessed: Float64Array;
  /** mWh that is only spread evenly over its time. */
  readonly spread: Float64Array;
  /** The slots that enough is known of to be compared. */
  readonly known: Uint8Array;
}

/** What is asked of the account of a day: a year of whole accounts would be much to hold. */
export interface RoomDay extends Pick<Account, 'span' | 'site'> {
  /** How many devices were to be known about. */
  readonly asked: number;
}

export const roomDay = ({ span, site, devices }: Account): RoomDay => ({
  span,
  site,
  asked: [...devices.values()].filter(({ elapsed }) => elapsed > 0).length,
});

/**
 * A slot of which less than half of the devices' time is covered says more about the outage than
 * about the fish room: what is reckoned goes on being booked while the daemon is down.
 */
const COMPARABLE = 0.5;

const GUESSED: ReadonlySet<Known> = new Set<Known>(['bridged', 'reckoned']);

export function fishRoomSlots(
  entries: Iterable<Entry>,
  days: readonly RoomDay[],
  grid: SlotGrid,
): FishRoomSlots {
  const sums = () => new Float64Array(grid.count);
  const byKnown = KNOWN.map(sums);
  const [energy, guessed, spread, covered] = [sums(), sums(), sums(), sums()];
  const add = (to: Float64Array | undefined, index: number, more: number): void => {
    if (to !== undefined) to[index] = (to[index] ?? 0) + more;
  };
  for (const entry of entries) {
    const index = indexOf(grid, entry.slot);
    if (index < 0 || index >= grid.count) continue;
    add(byKnown[KNOWN.indexOf(entry.known)], index, entry.energy);
    add(energy, index, entry.energy);
    if (GUESSED.has(entry.known)) add(guessed, index, entry.energy);
    add(spread, index, entry.spread);
    add(covered, index, entry.covered);
  }
  const known = new Uint8Array(grid.count);
  for (const { span, asked } of days) {
    const least = asked * SLOT * COMPARABLE;
    const end = indexOf(grid, span.to);
    for (let index = Math.max(0, indexOf(grid, span.from)); index < end; index += 1) {
      known[index] = asked > 0 && (covered[index] ?? 0) >= least ? 1 : 0;
    }
  }
  return { byKnown, energy, guessed, spread, known };
}
