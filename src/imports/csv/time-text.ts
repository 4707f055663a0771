import { HOUR, MINUTE, SECOND } from '../../units/index.ts';

/** A time as written: what the clock shows, as if it were UTC, and how far it is from UTC. */
export interface TimeText {
  readonly wall: number;
  /** Wall time minus UTC in ms; undefined where the text has none. */
  readonly offset: number | undefined;
}

/** RFC 3339 and ISO 8601: '2024-03-31T01:00+01:00', '2024-03-31 01:00', '2024-03-31T00Z', a date. */
const ISO =
  /^(\d{4})-(\d\d)-(\d\d)(?:[Tt ](\d\d)(?::(\d\d)(?::(\d\d)(?:[.,]0{1,9})?)?)?(?: ?([Zz])| ?([+-])(\d\d):?(\d\d)?)?)?$/;

/** Undefined for what is no time of the calendar, or lies within a second. */
export function readTime(text: string): TimeText | undefined {
  const found = ISO.exec(text);
  if (found === null) return undefined;
  const [, year, month, day, hour = 0, minute = 0, second = 0, utc, sign, offHour, offMinute = 0] =
    found;
  const date = new Date(0);
  date.setUTCFullYear(Number(year), Number(month) - 1, Number(day));
  // The 31st of February is carried over into March; no file means that.
  if (date.getUTCMonth() !== Number(month) - 1 || date.getUTCDate() !== Number(day)) {
    return undefined;
  }
  const isMidnightAfter = Number(hour) === 24 && Number(minute) === 0 && Number(second) === 0;
  if (Number(hour) > 23 && !isMidnightAfter) return undefined;
  if (Number(minute) > 59 || Number(second) > 59) return undefined;
  const wall =
    date.getTime() + Number(hour) * HOUR + Number(minute) * MINUTE + Number(second) * SECOND;
  if (utc !== undefined) return { wall, offset: 0 };
  if (sign === undefined) return { wall, offset: undefined };
  if (Number(offHour) > 15 || Number(offMinute) > 59) return undefined;
  const offset = Number(offHour) * HOUR + Number(offMinute) * MINUTE;
  return { wall, offset: sign === '-' ? -offset : offset };
}
