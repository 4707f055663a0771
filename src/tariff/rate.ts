import type { Instant, MicroPerKwh } from '../units/index.ts';

/** The price that holds in a slot, with its name. One object for all slots of a rate. */
export interface Rate {
  /** Unlike any other rate's, across tariffs. */
  readonly key: string;
  /** Unlike any other rate's of its tariff. */
  readonly id: string;
  /** For people: night, day … */
  readonly name: string;
  /** The tariff it belongs to. */
  readonly tariff: string;
  readonly price: MicroPerKwh;
}

/** All that was and is charged: the site's tariffs in sequence. */
export interface TariffBook {
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
