import type { Instant, MicroPerKwh, MicroUnits, MilliwattHours, Span } from '../units/index.ts';

/**
 * How a rate is priced, always per kWh as the keeper pays it: charges by the kWh and taxes included.
 * fixed: one price. blocks: one for each block of the billing month, the first block first. slots:
 * a price of its own for each slot, from a series.
 */
export type RatePrice =
  | { readonly kind: 'fixed'; readonly perKwh: MicroPerKwh }
  | { readonly kind: 'blocks'; readonly perKwh: readonly MicroPerKwh[] }
  | { readonly kind: 'slots' };

/** What is charged in a slot, with its name. One object for all slots of a rate. */
export interface Rate {
  /** Unlike any other rate's, across tariffs. */
  readonly key: string;
  /** Unlike any other rate's of its tariff. */
  readonly id: string;
  /** For people: night, winter peak … */
  readonly name: string;
  /** The tariff it belongs to. */
  readonly tariff: string;
  readonly price: RatePrice;
}

/** A published price of a span, such as an hour of the day-ahead market: before any formula. */
export interface SlotPrice {
  /** Id of the price series. */
  readonly series: string;
  readonly from: Instant;
  readonly to: Instant;
  /** As published; may be negative. */
  readonly price: MicroPerKwh;
}

/** One tariff, for as long as it holds. */
export interface Tariff {
  readonly id: string;
  readonly name: string;
  readonly from: Instant;
  /** When the next one begins; undefined for the last. */
  readonly to: Instant | undefined;
  readonly rates: readonly Rate[];
  /** Where the prices of its slots come from; undefined when no rate has slot prices. */
  readonly series: string | undefined;
  /** The price the keeper pays in a slot: formula, charges by the kWh and taxes on the published one. */
  slotPrice(published: MicroPerKwh): MicroPerKwh;
  /** What the formula alone makes of a published price: the energy before any charge. */
  energyPrice(published: MicroPerKwh): MicroPerKwh;
  /** The billing month that holds `at`, cut where the tariff begins or ends. */
  month(at: Instant): Span;
  /**
   * Where the blocks of a billing month end, in energy of the whole house since its start, rising;
   * one less than there are blocks. Undefined for a tariff without blocks.
   */
  blockEnds(month: Span): readonly MilliwattHours[] | undefined;
  /** How the fish room is priced under blocks: by the house's average or on top of the house. */
  readonly blocksAt: 'average' | 'marginal';
  /**
   * What the billing month costs without any energy, taxes included. Of a month that is cut, a
   * monthly charge counts by its days.
   */
  standing(month: Span): MicroUnits;
  /** Whether the tanks bear the standing charges. */
  readonly standingShared: boolean;
  /**
   * The bill of the whole house for a billing month, line by line as the utility writes it.
   * @throws CodedError AMP_TARIFF_BILL for energy of a rate that is not the tariff's, or that has
   * slot prices of which nothing is told.
   */
  bill(month: Span, use: BillUse): Bill;
  /** Equal for tariffs under which each slot has the same rate; tells whether sheets still hold. */
  readonly hoursKey: string;
  /**
   * Equal for tariffs under which every energy costs the same, whatever the dates between which
   * they hold.
   */
  readonly priceKey: string;
}

/** Energy of the whole house in a billing month, by `Rate.id`. */
export interface BillUse {
  readonly byRate: ReadonlyMap<
    string,
    {
      readonly energy: MilliwattHours;
      /** For slot prices: Σ mWh × published micro-units per kWh, exact. */
      readonly published?: bigint;
      /**
       * For slot prices: Σ mWh × `energyPrice`. Must be there where a floor or cap bends the
       * formula; otherwise `published` will do, and is exact.
       */
      readonly formed?: bigint;
    }
  >;
}

export interface BillLine {
  readonly name: string;
  readonly kind: 'energy' | 'levy' | 'standing' | 'tax';
  /** What the line counts, where it counts energy. */
  readonly energy: MilliwattHours | undefined;
  readonly perKwh: MicroPerKwh | undefined;
  /** Rounded to the coin. */
  readonly amount: MicroUnits;
}

export interface Bill {
  readonly lines: readonly BillLine[];
  readonly energy: MilliwattHours;
  /** The sum of the lines. */
  readonly total: MicroUnits;
}

/** All that was and is charged: the site's tariffs in sequence. */
export interface TariffBook {
  /** Earlier tariffs first. */
  readonly tariffs: readonly Tariff[];
  /** The tariff that holds at an instant; undefined before the first. */
  tariffAt(at: Instant): Tariff | undefined;
  /**
   * The rate of the slot that holds `at`; undefined before the first tariff. By the wall clock at
   * the start of the slot: an hour that is shown twice is charged alike both times, and one that
   * is skipped is never charged.
   */
  rateAt(at: Instant): Rate | undefined;
  /** Every rate, earlier tariffs first. */
  readonly rates: readonly Rate[];
  /** When the first tariff begins; undefined when there is none. */
  readonly begins: Instant | undefined;
}
