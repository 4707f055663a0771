import { DAY, degreesOf, HOUR, type Instant, MINUTE, SECOND } from '../units/index.ts';
import type { BlindWatch, Evidence, Subject } from '../watches/index.ts';
import type { AlertSubject } from './alert.ts';
import { safeName } from './safe-name.ts';

/** What the config knows of the things that alerts are about. */
export interface Names {
  /** Display name; without one the id is used. */
  name(subject: Subject): string | undefined;
  /** What it belongs to: a heater to its tank, a tank to its room. */
  place?(subject: Subject): Subject | undefined;
  /** A tank of air, such as a terrarium: then no text speaks of water. */
  isDry?(tank: Subject): boolean;
  /** Which watches see nothing while these plugs and probes are silent. */
  blindWithout?(silent: readonly Subject[]): readonly BlindWatch[];
}

export interface Phrasing {
  readonly names: Names;
  /** BCP 47; its region decides between °C and °F. An unusable tag is written as 'en'. */
  readonly locale: string;
  /** IANA zone of every time. */
  readonly zone: string;
}

/** Writes names, numbers and times the way the keeper reads them. Sentences are English. */
export interface Writer {
  readonly names: Names;
  name(subject: AlertSubject): string;
  temperature(celsius: number): string;
  difference(kelvin: number): string;
  power(watts: number): string;
  share(fraction: number): string;
  /** A length of time in ms: '40 s', '12 min', '3 h 20 min', '2 days 4 h'. */
  length(ms: number): string;
  /** Local date and time with its zone. */
  moment(at: Instant): string;
  value(evidence: Evidence): string;
}

/** Make one per site: number formats are dear to construct. */
export function createWriter({ names, locale, zone }: Phrasing): Writer {
  const tag = usable(locale);
  const decimals = (digits: number): Intl.NumberFormat =>
    new Intl.NumberFormat(tag, {
      minimumFractionDigits: digits,
      maximumFractionDigits: digits,
      signDisplay: 'negative',
    });
  const whole = decimals(0);
  const tenth = decimals(1);
  const percent = new Intl.NumberFormat(tag, { style: 'percent', maximumFractionDigits: 0 });
  const moment = new Intl.DateTimeFormat(tag, {
    timeZone: zone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    hour: 'numeric',
    minute: '2-digit',
    timeZoneName: 'short',
  });
  const degrees = degreesOf(tag);

  const temperature = (celsius: number): string =>
    `${tenth.format(degrees.temperature(celsius))} ${degrees.sign}`;
  const difference = (kelvin: number): string =>
    `${tenth.format(degrees.difference(kelvin))} ${degrees.sign}`;
  const power = (watts: number): string =>
    `${(Math.abs(watts) < 9.95 ? tenth : whole).format(watts)} W`;
  const share = (fraction: number): string => plainSpaces(percent.format(fraction));

  return {
    names,
    temperature,
    difference,
    power,
    share,
    length,
    name: (subject) =>
      (subject.kind === 'channel' ? '' : safeName(names.name(subject) ?? '')) || subject.id,
    moment: (at) => plainSpaces(moment.format(at)),
    value({ value, unit }) {
      if (!Number.isFinite(value)) return 'unknown';
      switch (unit) {
        case 'C':
          return temperature(value);
        case 'K':
          return difference(value);
        case 'W':
          return power(value);
        case 'V':
          return `${whole.format(value)} V`;
        case 'fraction':
          return share(value);
        case 'ms':
          return length(value);
        case 'W/K':
          return `${tenth.format(value / degrees.difference(1))} W per ${degrees.sign}`;
      }
    },
  };
}

function usable(locale: string): string {
  try {
    return new Intl.Locale(locale).toString();
  } catch {
    return 'en';
  }
}

/** Intl puts no-break spaces into times and percentages; some pagers show them as boxes. */
const plainSpaces = (text: string): string => text.replace(/[\u00A0\u202F]/g, ' ');

function length(ms: number): string {
  const span = Math.max(0, ms);
  if (span < 90 * SECOND) return `${Math.round(span / SECOND)} s`;
  const minutes = Math.round(span / MINUTE);
  if (minutes < 60) return `${minutes} min`;
  if (span < 2 * DAY) {
    const rest = minutes % 60;
    return `${Math.floor(minutes / 60)} h${rest > 0 ? ` ${rest} min` : ''}`;
  }
  const hours = Math.round(span / HOUR);
  return `${Math.floor(hours / 24)} days${hours % 24 > 0 ? ` ${hours % 24} h` : ''}`;
}
