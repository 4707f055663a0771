import { Temporal } from 'temporal-polyfill';
import { CodedError } from './errors.ts';
import type { Instant } from './quantities.ts';
import { type Span, slotOf } from './slots.ts';

/** A local calendar date, 'YYYY-MM-DD'. */
export type LocalDate = string & { readonly localDate: unique symbol };

/** What the wall clock and calendar of a zone say at the start of a slot. */
export interface LocalSlot {
  readonly date: LocalDate;
  /** 1–12 */
  readonly month: number;
  /** ISO: 1 Monday … 7 Sunday */
  readonly weekday: number;
  /** Minutes since local midnight by the wall clock, 0–1439. */
  readonly minute: number;
}

/** How many slots' local readings a calendar remembers: about five weeks. */
const REMEMBERED_SLOTS = 4096;

/** The calendar of one IANA time zone: slots, local days, ISO weeks and months. */
export class Calendar {
  readonly zone: string;
  readonly #slots = new Map<Instant, LocalSlot>();

  /** @throws CodedError AMP_CALENDAR_ZONE when the zone is not an IANA zone known here. */
  constructor(zone: string) {
    try {
      Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone);
    } catch (cause) {
      throw new CodedError('AMP_CALENDAR_ZONE', `no time zone is called '${zone}'`, {
        remedy: "use an IANA name such as 'America/Winnipeg'",
        cause,
      });
    }
    this.zone = zone;
  }

  #zoned(at: Instant): Temporal.ZonedDateTime {
    return Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(this.zone);
  }

  /** Local date, month, weekday and minute at the start of the slot that holds `at`. */
  local(at: Instant): LocalSlot {
    const slot = slotOf(at);
    const known = this.#slots.get(slot);
    if (known !== undefined) return known;
    const zoned = this.#zoned(slot);
    const local: LocalSlot = {
      date: zoned.toPlainDate().toString() as LocalDate,
      month: zoned.month,
      weekday: zoned.dayOfWeek,
      minute: zoned.hour * 60 + zoned.minute,
    };
    if (this.#slots.size >= REMEMBERED_SLOTS) this.#slots.clear();
    this.#slots.set(slot, local);
    return local;
  }

  /** The local day that holds `at`; 23, 24 or 25 hours long, or what the zone's law made it. */
  day(at: Instant): Span {
    return this.dayOf(this.dateAt(at));
  }

  dateAt(at: Instant): LocalDate {
    return this.#zoned(at).toPlainDate().toString() as LocalDate;
  }

  dayOf(date: LocalDate): Span {
    const day = Temporal.PlainDate.from(date);
    return this.#dates(day, day.add({ days: 1 }));
  }

  /** The ISO week (Monday to Sunday, local) that holds `at`. */
  week(at: Instant): Span {
    const date = this.#zoned(at).toPlainDate();
    const monday = date.subtract({ days: date.dayOfWeek - 1 });
    return this.#dates(monday, monday.add({ days: 7 }));
  }

  /** The calendar month (local) that holds `at`. */
  month(at: Instant): Span {
    const first = this.#zoned(at).toPlainDate().with({ day: 1 });
    return this.#dates(first, first.add({ months: 1 }));
  }

  /** The local dates that a span touches, in order. */
  dates(span: Span): LocalDate[] {
    const dates: LocalDate[] = [];
    if (span.to <= span.from) return dates;
    let date = this.#zoned(span.from).toPlainDate();
    const last = this.#zoned((span.to - 1) as Instant).toPlainDate();
    while (Temporal.PlainDate.compare(date, last) <= 0) {
      dates.push(date.toString() as LocalDate);
      date = date.add({ days: 1 });
    }
    return dates;
  }

  #dates(from: Temporal.PlainDate, to: Temporal.PlainDate): Span {
    return {
      from: from.toZonedDateTime(this.zone).epochMilliseconds as Instant,
      to: to.toZonedDateTime(this.zone).epochMilliseconds as Instant,
    };
  }
}
