import type { AlertState, AlertText, Tending } from '../alerts/index.ts';
import type { Known } from '../metering/index.ts';
import type { Instant, MicroPerKwh, MicroUnits, Millis, MilliwattHours } from '../units/index.ts';
import type { Severity } from '../watches/index.ts';

/** Everything the first page shows, as data: the page reckons nothing itself. */
export interface RoomView {
  readonly site: {
    readonly name: string;
    readonly locale: string;
    readonly currency: string;
    readonly zone: string;
  };
  readonly now: Instant;
  readonly broker: { readonly connected: boolean; readonly since: Instant };
  readonly lastReading: Instant | undefined;
  /** While past weeks are being read in: how far, 0–1, and up to when. */
  readonly filling: { readonly done: number; readonly until: Instant } | undefined;
  /** How much of the past has been priced anew, 0–1; undefined when nothing is under way. */
  readonly repricing: number | undefined;
  /** `perKwh` is undefined where the price has not been published. */
  readonly rate:
    | {
        readonly name: string;
        readonly perKwh: MicroPerKwh | undefined;
        readonly provisional: boolean;
      }
    | undefined;
  readonly totals: SpanSums;
  /** This month's charges that come without any energy; in no cost. */
  readonly standing: MicroUnits;
  /** Costs rest on block prices that change until the billing month is over. */
  readonly provisional: boolean;
  /** This month's cost as the tariff does not price it; undefined without blocks. */
  readonly otherwise:
    | { readonly at: 'average' | 'marginal'; readonly month: MicroUnits }
    | undefined;
  /** What heating so many tanks will cost tonight, reckoned; undefined by day and where unknown. */
  readonly tonight: { readonly cost: MicroUnits; readonly tanks: number } | undefined;
  readonly alerts: readonly AlertView[];
  readonly rooms: readonly RoomAir[];
  readonly tanks: readonly TankView[];
  /** How long a tending lasts unless told, min. */
  readonly tendingMinutes: number;
  /** Until when a snooze lasts that is to end in the morning. */
  readonly morning: Instant;
  readonly upkeep: SpanSums;
  /** The dearest of this month first. */
  readonly devices: readonly DeviceView[];
}

/** One figure for each of the spans that the page shows, all up to now. */
export interface SpanSums {
  readonly today: Sum;
  readonly week: Sum;
  readonly month: Sum;
}

export interface Sum {
  readonly energy: MilliwattHours;
  readonly cost: MicroUnits;
  /** Energy on days for which no tariff was told: it has no cost. */
  readonly unpriced: MilliwattHours;
  readonly byKnown: Readonly<Record<Known, MilliwattHours>>;
  /** Measured together with other devices and divided by reckoning. */
  readonly divided: MilliwattHours;
  /** Time of the span, up to now, about which nothing is known; summed over devices. */
  readonly missing: Millis;
  /** Part of the time up to now that the books know of, 0–1; undefined where no device is asked. */
  readonly coverage: number | undefined;
}

export interface AlertView {
  readonly id: string;
  readonly state: AlertState;
  readonly severity: Severity;
  /** When a keeper said that it has been seen. */
  readonly acknowledged: Instant | undefined;
  readonly snoozedUntil: Instant | undefined;
  readonly text: AlertText;
}

export interface Measured {
  readonly value: number;
  readonly at: Instant;
  /** Too old to stand for now. */
  readonly stale: boolean;
}

export interface RoomAir {
  readonly id: string;
  readonly name: string;
  readonly temperature: Measured | undefined;
  readonly humidity: Measured | undefined;
}

export interface TankView {
  readonly id: string;
  readonly name: string;
  readonly animals: string | undefined;
  readonly room: string;
  readonly keep: { readonly min: number; readonly max: number };
  readonly hasProbe: boolean;
  readonly temperature: Measured | undefined;
  /** While a keeper works on it. */
  readonly tending: Pick<Tending, 'since' | 'until' | 'by'> | undefined;
  /** From the evening on, until the night is over. */
  readonly tonight: TonightView | undefined;
  /** A tank of air: nothing speaks of water there. */
  readonly isDry: boolean;
  readonly sums: SpanSums;
}

/** What a tank's heaters will draw tonight: reckoned. */
export interface TonightView {
  readonly energy: MilliwattHours;
  /** With the band that holds it 9 times in 10; undefined where a price is missing. */
  readonly cost: Readonly<Record<'value' | 'low' | 'high', MicroUnits>> | undefined;
  /** How many days of the books it was learned over; undefined: reckoned from the tank's size. */
  readonly learnedDays: number | undefined;
  /** Median error of the last such figures, a fraction; undefined while too few are known. */
  readonly offBy: number | undefined;
}

export interface DeviceView {
  readonly id: string;
  readonly name: string;
  readonly kind: string;
  /** Tank names with the part of the device that is theirs, largest first. */
  readonly serves: readonly {
    readonly tank: string;
    readonly name: string;
    readonly part: number;
  }[];
  /** How it is metered: by a plug of its own, by one that feeds others too, or not at all. */
  readonly plug: 'own' | 'shared' | 'none';
  readonly power: Measured | undefined;
  readonly sums: SpanSums;
}
