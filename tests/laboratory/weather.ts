import { readFileSync } from 'node:fs';
import type { Chance } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant } from '../../src/units/index.ts';

const FILE = new URL('../reference/climate/fargo_nd_tmy2_nov-mar_hourly.csv', import.meta.url);
/** The file speaks local standard time. */
const BEHIND_UTC = 6 * HOUR;
/** Over so long one course goes over into the other. */
const SEAM = 5 * DAY;

/** The rest of the year is invented, of the order of the northern plains. */
const YEAR = { mean: 4.5, swing: 17, coldest: 15 * DAY } as const;
const DAILY_SWING = 5.5;
const SPELL = { lasts: 2.5 * DAY, spread: 4 } as const;

/** Outdoor temperature, °C, by the hour of the file; keys are days since 1 January of a common year. */
const hours = hoursOf(readFileSync(FILE, 'utf8'));
const first = dayOfYear(11, 1) * DAY;
const last = dayOfYear(4, 1) * DAY;

/**
 * The weather of one seed: the file's typical winter from November to March, begun some days sooner
 * or later, and an invented course for the months that the file does not have.
 */
export function weatherOf(chance: Chance): (at: Instant) => number {
  const shifted = Math.round((chance.next() - 0.5) * 10) * DAY;
  const spells = spellsOf(chance);
  return (at) => {
    const of = placeInYear(at - BEHIND_UTC + shifted);
    const winter = winterPart(of);
    const measured = winter > 0 ? measuredAt(of) : 0;
    return winter === 1 ? measured : winter * measured + (1 - winter) * invented(of, spells(at));
  };
}

/** How far the file's course holds at a place in the year: 0 in summer, 1 in winter. */
function winterPart(of: number): number {
  if (of >= first) return Math.min(1, (of - first) / SEAM);
  return of >= last ? 0 : Math.min(1, (last - of) / SEAM);
}

function measuredAt(of: number): number {
  const hour = Math.floor(of / HOUR);
  const before = hours.get(hour) ?? 0;
  const after = hours.get(hour + 1) ?? hours.get(0) ?? before;
  return before + ((after - before) * (of - hour * HOUR)) / HOUR;
}

function invented(of: number, spell: number): number {
  const season = Math.cos((2 * Math.PI * (of - YEAR.coldest)) / (365 * DAY));
  const daily = Math.cos((2 * Math.PI * ((of % DAY) / HOUR - 15)) / 24);
  return YEAR.mean - YEAR.swing * season + DAILY_SWING * daily + spell;
}

/** Spells of warmer and colder days: one value a quarter of a day, and what lies between. */
function spellsOf(chance: Chance): (at: Instant) => number {
  const STEP = DAY / 4;
  const keep = Math.exp(-STEP / SPELL.lasts);
  const values: number[] = [chance.normal() * SPELL.spread];
  let begun: number | undefined;
  return (at) => {
    begun ??= at;
    const place = (at - begun) / STEP;
    const index = Math.floor(place);
    while (values.length < index + 2) {
      const before = values.at(-1) as number;
      values.push(before * keep + chance.normal() * SPELL.spread * Math.sqrt(1 - keep * keep));
    }
    const before = values[index] as number;
    return before + ((values[index + 1] as number) - before) * (place - index);
  };
}

function hoursOf(text: string): Map<number, number> {
  const rows = text.split('\n').filter((line) => /^\d/.test(line));
  return new Map(
    rows.map((row) => {
      const [, month, day, hour, celsius] = row.split(',').map(Number) as [
        number,
        number,
        number,
        number,
        number,
      ];
      return [dayOfYear(month, day) * 24 + hour, celsius];
    }),
  );
}

function dayOfYear(month: number, day: number): number {
  return (Date.UTC(2023, month - 1, day) - Date.UTC(2023, 0, 1)) / DAY;
}

/** Milliseconds since the year began, in a common year: a 29 February is the 28th once more. */
function placeInYear(local: number): number {
  const date = new Date(local);
  const month = date.getUTCMonth() + 1;
  const day = month === 2 ? Math.min(28, date.getUTCDate()) : date.getUTCDate();
  return dayOfYear(month, day) * DAY + (local - Math.floor(local / DAY) * DAY);
}
