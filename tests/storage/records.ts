import type { HouseInterval } from '../../src/books/index.ts';
import type { NewBill, NewCorrection } from '../../src/storage/index.ts';
import type { SlotPrice } from '../../src/tariff/index.ts';
import {
  type Instant,
  type LocalDate,
  later,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { slotAt } from './postings.ts';

/** Slots `first` to before `last`, as slotAt counts them. */
export const slots = (first: number, last: number): Span => ({
  from: slotAt(first),
  to: slotAt(last),
});

/** A price of so many slots. */
export const price = (
  slot: number,
  length: number,
  micro: number,
  series = 'marsh-exchange',
): SlotPrice => ({ series, ...slots(slot, slot + length), price: micro as MicroPerKwh });

/** What a meter of the house counted in an hour that begins with the slot. */
export const interval = (
  slot: number,
  energy: number,
  more: Partial<HouseInterval> = {},
): HouseInterval => ({
  meter: 'mains',
  from: slotAt(slot),
  to: later(slotAt(slot), 4 * SLOT),
  energy: energy as MilliwattHours,
  cost: undefined,
  quality: 'valid',
  ...more,
});

export const correction = (
  first: number,
  last: number,
  more: Partial<NewCorrection> = {},
): NewCorrection => ({
  device: 'moss-lamp',
  span: slots(first, last),
  kind: 'void',
  energy: 0 as MilliwattHours,
  reason: 'the plug ran a drill',
  made: slotAt(500),
  ...more,
});

export const bill = (more: Partial<NewBill> = {}): NewBill => ({
  first: '2026-01-05' as LocalDate,
  last: '2026-02-03' as LocalDate,
  energy: 412_000_000 as MilliwattHours,
  total: 98_340_000 as MicroUnits,
  note: undefined,
  made: slotAt(500),
  ...more,
});

/** When something was imported or published. */
export const noon: Instant = slotAt(0);

/** A year of quarter-hours, as a utility gives them. */
export const yearOfHouse = (): HouseInterval[] =>
  Array.from({ length: 35_040 }, (_, slot) => ({
    ...interval(slot, 90_000 + (slot % 97) * 1_000),
    to: slotAt(slot + 1),
  }));
