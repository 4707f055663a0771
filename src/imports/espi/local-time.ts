import { type Calendar, type Instant, MINUTE, type Span } from '../../units/index.ts';
import type { LocalTime } from './parts.ts';

/** A day and hour of each year at which the clock is changed, as ESPI codes it in 32 bits. */
export interface ChangeRule {
  readonly month: number;
  /** 0 day of month; 1 weekday on or after it; 2–6 first to fifth weekday; 7 the last. */
  readonly operator: number;
  readonly dayOfMonth: number;
  /** 1 Monday … 7 Sunday */
  readonly weekday: number;
  readonly hour: number;
  readonly second: number;
}

/**
 * Decodes eight hexadecimal digits: bits 0–11 seconds, 12–16 hours, 17–19 weekday, 20–24 day of the
 * month, 25–27 operator, 28–31 month (espiDerived.xsd). Undefined for what is no rule, such as the
 * FFFFFFFF of places without daylight saving. The operators are from memory; two published files
 * agree with 2 and 3.
 */
export function decodeChangeRule(text: string | undefined): ChangeRule | undefined {
  if (text === undefined || !/^[0-9a-f]{8}$/i.test(text)) return undefined;
  const bits = Number.parseInt(text, 16);
  const rule = {
    month: bits >>> 28,
    operator: (bits >>> 25) & 7,
    dayOfMonth: (bits >>> 20) & 31,
    weekday: (bits >>> 17) & 7,
    hour: (bits >>> 12) & 31,
    second: bits & 4095,
  };
  return rule.month >= 1 && rule.month <= 12 && rule.hour <= 24 ? rule : undefined;
}

/** When the clock of a rule is changed in a year, by its own wall clock written as if it were UTC. */
export function changeIn(year: number, rule: ChangeRule): number {
  const { month, operator, dayOfMonth, weekday, hour, second } = rule;
  const at = (day: number): number => Date.UTC(year, month - 1, day, hour, 0, second);
  const onOrAfter = (day: number): number => {
    const first = new Date(Date.UTC(year, month - 1, day)).getUTCDay() || 7;
    return day + ((weekday - first + 7) % 7);
  };
  if (operator === 0) return at(dayOfMonth);
  if (operator === 1) return at(onOrAfter(dayOfMonth));
  if (operator === 7) {
    const lastDay = new Date(Date.UTC(year, month, 0)).getUTCDate();
    return at(onOrAfter(lastDay - 6));
  }
  return at(onOrAfter(1) + 7 * (operator - 2));
}

/** Minutes east of UTC of the utility's clock at an instant. */
function offsetsOf(clock: LocalTime): { at(at: number): number; changes(year: number): number[] } {
  const start = decodeChangeRule(clock.dstStartRule);
  const end = decodeChangeRule(clock.dstEndRule);
  const standard = clock.tzOffset * 1000;
  const saving = clock.dstOffset * 1000;
  if (start === undefined || end === undefined || saving === 0) {
    return { at: () => standard, changes: () => [] };
  }
  const begins = (year: number): number => changeIn(year, start) - standard;
  const ends = (year: number): number => changeIn(year, end) - standard - saving;
  return {
    at(at) {
      const year = new Date(at + standard).getUTCFullYear();
      const from = begins(year);
      const to = ends(year);
      const isSaving = from < to ? at >= from && at < to : at >= from || at < to;
      return isSaving ? standard + saving : standard;
    },
    changes: (year) => [begins(year), ends(year)],
  };
}

/**
 * The first instant in the span at which the utility's clock shows another time than the site's, as
 * a warning; undefined when they agree.
 */
export function clockWarning(clock: LocalTime, calendar: Calendar, span: Span): string | undefined {
  const utility = offsetsOf(clock);
  const stretches = calendar.stretches(span);
  const years = [new Date(span.from).getUTCFullYear(), new Date(span.to).getUTCFullYear()] as const;
  const moments = stretches.map(({ from }) => from as number);
  for (let year = years[0]; year <= years[1]; year += 1) moments.push(...utility.changes(year));
  const differs = moments
    .filter((at) => at >= span.from && at < span.to)
    .sort((a, b) => a - b)
    .map((at) => {
      const site = stretches.find(({ from, to }) => at >= from && at < to)?.offset ?? 0;
      return { at, utility: utility.at(at), site };
    })
    .find((moment) => moment.utility !== moment.site);
  if (differs === undefined) return undefined;
  const when = new Date(differs.at as Instant).toISOString().slice(0, 16).replace('T', ' ');
  return (
    `the utility's clock is at ${offsetText(differs.utility)} from ${when} UTC, ` +
    `${calendar.zone} at ${offsetText(differs.site)}: times in the file are UTC and right, ` +
    'but the hours of its bills may be others'
  );
}

/** 'UTC-05:00' */
function offsetText(offset: number): string {
  const minutes = Math.round(Math.abs(offset) / MINUTE);
  const two = (count: number): string => String(count).padStart(2, '0');
  return `UTC${offset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}
