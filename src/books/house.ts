import type { Instant, LocalDate, MicroUnits, MilliwattHours } from '../units/index.ts';

/** What the utility's meter of the whole house counted in a span, as imported. */
export interface HouseInterval {
  /** Which meter, where a house has several; a short id. */
  readonly meter: string;
  readonly from: Instant;
  readonly to: Instant;
  readonly energy: MilliwattHours;
  /** What the utility says it cost, where it does. */
  readonly cost: MicroUnits | undefined;
  /** How sure the utility is of it. */
  readonly quality: 'valid' | 'estimated' | 'unknown';
}

/** A bill's totals, entered by hand. */
export interface KeptBill {
  /** 1, 2, 3 … in the order they were entered. */
  readonly number: number;
  /** Its first and last local day. */
  readonly first: LocalDate;
  readonly last: LocalDate;
  readonly energy: MilliwattHours | undefined;
  readonly total: MicroUnits | undefined;
  readonly note: string | undefined;
  readonly made: Instant;
  readonly withdrawn: { readonly at: Instant; readonly reason: string } | undefined;
}
