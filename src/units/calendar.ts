import { Temporal } from 'temporal-polyfill';
import { CodedError } from './errors.ts';
import { type OffsetStretch, offsetStretches } from './offsets.ts';
import { DAY, type Instant, MINUTE } from './quantities.ts';
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

/** How many local days a calendar remembers: two years and a bit. */
const REMEMBERED_DAYS = 800;

interface CivilDay {
  readonly date: LocalDate;
  readonly month: number;
  readonly weekday: number;
}

/** The calendar of one IANA time zone: slots, local days, ISO weeks and months. */
export class Calendar {
  readonly zone: string;
  readonly #stretch: (at: Instant) => OffsetStretch;
  readonly #civil = new Map<number, CivilDay>();
  readonly #days = new Map<LocalDate, Span>();

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
    this.#stretch = offsetStretches(zone);
  }

  #zoned(at: Instant): Temporal.ZonedDateTime {
    return Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(this.zone);
  }

  /** Local date, month, weekday and minute at the start of the slot that holds `at`. */
  local(at: Instant): LocalSlot {
    const slot = slotOf(at);
    const wall = slot + this.#stretch(slot).offset;
    const number = Math.floor(wall / DAY);
    const { date, month, weekday } = this.#civilDay(number);
    return { date, month, weekday, minute: Math.floor((wall - number * DAY) / MINUTE) };
  }

  /**
   * The local day that holds `at`; 23, 24 or 25 hours long, or what the zone's law made it. Days
   * follow each other without hole or overlap: where a clock set back just after midnight shows the
   * old date again, that hour belongs to the day already begun.
   */
  day(at: Instant): Span {
    const date = this.dateAt(at);
    const day = this.dayOf(date);
    return at < day.to
      ? day
      : this.dayOf(Temporal.PlainDate.from(date).add({ days: 1 }).toString() as LocalDate);
  }

  dateAt(at: Instant): LocalDate {
    return this.#civilDay(Math.floor((at + this.#stretch(at).offset) / DAY)).date;
  }

  /**
   * The span of a local date; empty for a date that the zone skipped.
   * @throws CodedError AMP_CALENDAR_DATE when the calendar has no such date.
   */
  dayOf(date: LocalDate): Span {
    const known = this.#days.get(date);
    if (known !== undefined) return known;
    const day = plainDate(date);
    const span = this.#dates(day, day.add({ days: 1 }));
    if (this.#days.size >= REMEMBERED_DAYS) this.#days.clear();
    this.#days.set(date, span);
    return span;
  }

  /** Cuts a span where the zone's offset from UTC changes, in order. */
  stretches(span: Span): OffsetStretch[] {
    const stretches: OffsetStretch[] = [];
    let from = span.from;
    while (from < span.to) {
      const stretch = this.#stretch(from);
      const to = Math.min(stretch.to, span.to) as Instant;
      stretches.push({ from, to, offset: stretch.offset });
      from = to;
    }
    return stretches;
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

  /**
   * The billing month (local) that holds `at`: from one meter-reading day to the next. A day that a
   * month does not have, such as the 31st, is its last one.
   * @param day 1–31
   */
  billingMonth(at: Instant, day: number): Span {
    const date = this.#zoned(at).toPlainDate();
    const begins = (month: Temporal.PlainYearMonth): Temporal.PlainDate =>
      month.toPlainDate({ day: Math.min(day, month.daysInMonth) });
    let month = date.toPlainYearMonth();
    if (Temporal.PlainDate.compare(date, begins(month)) < 0) month = month.subtract({ months: 1 });
    return this.#dates(begins(month), begins(month.add({ months: 1 })));
  }

  /**
   * The instants at which this zone's wall clock shows `local`, a wall time written as if it were
   * UTC. They differ where the clock is set back and shows it twice, or forward and skips it: then
   * `earlier` and `later` are what the clocks on either side of the change would mean.
   */
  atWallTime(local: Instant): { readonly earlier: Instant; readonly later: Instant } {
    const wall = Temporal.Instant.fromEpochMilliseconds(local)
      .toZonedDateTimeISO('UTC')
      .toPlainDateTime();
    const as = (disambiguation: 'earlier' | 'later') =>
      wall.toZonedDateTime(this.zone, { disambiguation }).epochMilliseconds as Instant;
    return { earlier: as('earlier'), later: as('later') };
  }

  /** The local dates that a span touches, in order; a date that the zone skipped is not touched. */
  dates(span: Span): LocalDate[] {
    const dates: LocalDate[] = [];
    if (span.to <= span.from) return dates;
    let day = plainDate(this.dateAt(span.from));
    const last = plainDate(this.dateAt((span.to - 1) as Instant));
    while (Temporal.PlainDate.compare(day, last) <= 0) {
      const date = day.toString() as LocalDate;
      const { from, to } = this.dayOf(date);
      if (from < to) dates.push(date);
      day = day.add({ days: 1 });
    }
    return dates;
  }

  /** What the calendar says of a day, counted from 1970-01-01. */
  #civilDay(number: number): CivilDay {
    const known = this.#civil.get(number);
    if (known !== undefined) return known;
    const date = Temporal.PlainDate.from('1970-01-01').add({ days: number });
    const civil: CivilDay = {
      date: date.toString() as LocalDate,
      month: date.month,
      weekday: date.dayOfWeek,
    };
    if (this.#civil.size >= REMEMBERED_DAYS) this.#civil.clear();
    this.#civil.set(number, civil);
    return civil;
  }

  #dates(from: Temporal.PlainDate, to: Temporal.PlainDate): Span {
    return {
      from: from.toZonedDateTime(this.zone).epochMilliseconds as Instant,
      to: to.toZonedDateTime(this.zone).epochMilliseconds as Instant,
    };
  }
}

function plainDate(date: LocalDate): Temporal.PlainDate {
  try {
    return Temporal.PlainDate.from(date);
  } catch (cause) {
    throw new CodedError('AMP_CALENDAR_DATE', `no day is called '${date}'`, {
      remedy: "write a date of the calendar as 'YYYY-MM-DD'",
      cause,
    });
  }
}
