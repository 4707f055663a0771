import {
  type Calendar,
  CodedError,
  type Instant,
  type LocalDate,
  type Span,
} from '../../units/index.ts';

const DATE = /^\d{4}-\d{2}-\d{2}$/;
const MOMENT = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}):(\d{2})(Z|[+-]\d{2}:\d{2})?$/;

/**
 * The span between two options: a date stands for the whole of that local day, a date with a time
 * for that moment of the site's wall clock, or of the offset that it names.
 * @throws CodedError AMP_APP_TIME when one of them cannot be read, or nothing lies between.
 */
export function spanBetween(from: string, to: string, calendar: Calendar): Span {
  const span = { from: spanAt(from, calendar).from, to: spanAt(to, calendar).to };
  if (span.from < span.to) return span;
  throw new CodedError('AMP_APP_TIME', `no time lies between ${from} and ${to}`, {
    remedy: 'let --from be before --to',
  });
}

/** The local day that a date names, or the moment itself as an empty span. */
function spanAt(text: string, calendar: Calendar): Span {
  if (DATE.test(text)) return calendar.dayOf(text as LocalDate);
  const at = momentAt(text, calendar);
  return { from: at, to: at };
}

function momentAt(text: string, calendar: Calendar): Instant {
  const [, date, hour, minute, offset] = MOMENT.exec(text) ?? [];
  if (date === undefined || Number(hour) > 23 || Number(minute) > 59) throw unreadable(text);
  if (offset !== undefined) {
    const at = Date.parse(`${date}T${hour}:${minute}:00${offset}`);
    if (Number.isNaN(at)) throw unreadable(text);
    return at as Instant;
  }
  const { earlier, later } = calendar.atWallTime(wallTime(text, `${date}T${hour}:${minute}:00Z`));
  if (earlier === later) return earlier;
  throw new CodedError('AMP_APP_TIME', `the clocks change at ${text}: it is no one moment`, {
    remedy: `name the offset from UTC, such as ${date}T${hour}:${minute}+01:00`,
  });
}

function wallTime(text: string, asUtc: string): Instant {
  const wall = Date.parse(asUtc);
  // 31 June would quietly become 1 July.
  if (Number.isNaN(wall) || !new Date(wall).toISOString().startsWith(asUtc.slice(0, 10))) {
    throw unreadable(text);
  }
  return wall as Instant;
}

const unreadable = (text: string): CodedError =>
  new CodedError('AMP_APP_TIME', `'${text}' is no date or time`, {
    remedy: "write a day as '2026-03-03', a moment as '2026-03-03T14:15'",
  });
