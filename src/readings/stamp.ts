import { Calendar, type Instant, MINUTE, SECOND } from '../units/index.ts';
import type { FeedConfig } from './config.ts';
import { readNumeral } from './numeral.ts';
import type { RefusalReason } from './reading.ts';

/** A clock this far ahead of ours is believed; one farther ahead would book energy early. */
const AHEAD = 2 * MINUTE;

/**
 * No payload is older: boards without a set clock count from 1970 or 2000, and a counter's first
 * reading stamped so would spread its next difference over decades.
 */
export const OLDEST = Date.UTC(2010, 0, 1);

/** How many local minutes a feed's clock remembers. */
const REMEMBERED_MINUTES = 256;

/** RFC 3339, and ISO 8601 without an offset; a space may stand for the 'T', a comma for the point. */
const ISO =
  /^(\d{4})-(\d\d)-(\d\d)[Tt ](\d\d):(\d\d)(?::(\d\d)(?:[.,](\d{1,12}))?)?(?: ?([Zz])| ?([+-])(\d\d):?(\d\d)?)?$/;

/** Turns what stands at the feed's time pointer into an instant. */
export type StampReader = (
  raw: unknown,
  arrived: Instant,
) => Instant | Extract<RefusalReason, 'bad-time' | 'from-the-future'>;

type TimeFormat = Pick<NonNullable<FeedConfig['time']>, 'format' | 'zone'>;

/** @throws CodedError AMP_CALENDAR_ZONE when the feed's zone is not an IANA zone. */
export function compileStamp(time: NonNullable<FeedConfig['time']>): StampReader {
  const read = compileClockwork(time);
  return (raw, arrived) => {
    const at = read(raw, arrived);
    if (at === undefined || !(at >= OLDEST)) return 'bad-time';
    return at - arrived > AHEAD ? 'from-the-future' : (at as Instant);
  };
}

/**
 * Reads a time as it is, in ms since 1970; undefined for what is none. A local time that the clock
 * shows twice or never is the one nearest to `near`.
 */
export type Clockwork = (raw: unknown, near: Instant) => number | undefined;

/** @throws CodedError AMP_CALENDAR_ZONE when the zone is not an IANA zone. */
export const compileClockwork = ({ format, zone }: TimeFormat): Clockwork =>
  format === 'iso' ? knowingTheMinute(isoReader(zone)) : epochReader(format);

function epochReader(format: 'epoch-s' | 'epoch-ms'): Clockwork {
  const milliseconds = format === 'epoch-s' ? 1000 : 1;
  return (raw) => {
    const count = typeof raw === 'string' ? readNumeral(raw.trim(), false) : raw;
    if (typeof count !== 'number' || !Number.isFinite(count)) return undefined;
    return Math.round(count * milliseconds);
  };
}

function isoReader(zone: string | undefined): Clockwork {
  const onWall = zone === undefined ? undefined : wallClock(zone);
  return (raw, arrived) => {
    if (typeof raw !== 'string') return undefined;
    const found = ISO.exec(raw.trim());
    if (found === null) return undefined;
    const [, year, month, day, hour, minute, second, fraction, utc, sign, offHour, offMinute] =
      found;
    const date = Date.UTC(Number(year), Number(month) - 1, Number(day));
    const within = milliseconds(hour, minute, second, fraction);
    if (!isDate(date, Number(month)) || within === undefined) return undefined;
    if (utc === undefined && sign === undefined && onWall !== undefined) {
      const seconds = within % MINUTE;
      return onWall((date + within - seconds) as Instant, arrived) + seconds;
    }
    const offset = (Number(offHour ?? 0) * 60 + Number(offMinute ?? 0)) * MINUTE;
    if (Number(offHour ?? 0) > 23 || Number(offMinute ?? 0) > 59) return undefined;
    return date + within - (sign === '-' ? -offset : offset);
  };
}

const SECONDS_AT = 17;
const SECONDS_END = 19;

/**
 * Plugs that report at about the same time share the minute and the offset: their texts are read
 * once, and then only the seconds. Texts without an offset depend on more than themselves.
 */
function knowingTheMinute(read: Clockwork): Clockwork {
  let minute = '';
  let offset = '';
  let start = 0;
  return (raw, arrived) => {
    if (typeof raw !== 'string') return undefined;
    const seconds = secondsOf(raw);
    if (seconds === undefined) return read(raw, arrived);
    const isKnown =
      raw.length === SECONDS_END + offset.length && raw.startsWith(minute) && raw.endsWith(offset);
    if (isKnown) return start + seconds * SECOND;
    const at = read(raw, arrived);
    if (at === undefined) return undefined;
    minute = raw.slice(0, SECONDS_AT);
    offset = raw.slice(SECONDS_END);
    start = at - seconds * SECOND;
    return at;
  };
}

/** The whole seconds of a text that has them where RFC 3339 has, followed by an offset. */
function secondsOf(text: string): number | undefined {
  const sign = text[SECONDS_END];
  if (text[SECONDS_AT - 1] !== ':' || (sign !== 'Z' && sign !== '+' && sign !== '-')) {
    return undefined;
  }
  const tens = text.charCodeAt(SECONDS_AT) - 48;
  const ones = text.charCodeAt(SECONDS_AT + 1) - 48;
  return tens >= 0 && tens <= 5 && ones >= 0 && ones <= 9 ? tens * 10 + ones : undefined;
}

/** Date.UTC carries the 31st of February over into March; no plug means that. */
const isDate = (date: number, month: number): boolean => new Date(date).getUTCMonth() === month - 1;

/** Time since midnight; second 60 is a leap second and counts as the next one. */
function milliseconds(
  hour: string | undefined,
  minute: string | undefined,
  second = '0',
  fraction = '0',
): number | undefined {
  if (Number(hour) > 23 || Number(minute) > 59 || Number(second) > 60) return undefined;
  const whole = (Number(hour) * 60 + Number(minute)) * 60 + Number(second);
  return whole * 1000 + Number(fraction.padEnd(3, '0').slice(0, 3));
}

/**
 * Local wall time (given as if it were UTC) to an instant. Where the clock is set back and shows a
 * time twice, or forward and never, the reading nearest to its arrival is meant.
 */
function wallClock(zone: string): (local: Instant, arrived: Instant) => number {
  const calendar = new Calendar(zone);
  const remembered = new Map<Instant, ReturnType<Calendar['atWallTime']>>();
  return (local, arrived) => {
    let known = remembered.get(local);
    if (known === undefined) {
      known = calendar.atWallTime(local);
      if (remembered.size >= REMEMBERED_MINUTES) remembered.clear();
      remembered.set(local, known);
    }
    const { earlier, later } = known;
    return Math.abs(earlier - arrived) <= Math.abs(later - arrived) ? earlier : later;
  };
}
