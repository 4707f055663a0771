import { DAY, HOUR, type Instant } from '../units/index.ts';
import type { Chance } from './chance.ts';

/** Year of a cold, continental place; invented, of the order of the northern plains. */
const YEAR = { mean: 3, swing: 17, coldest: 20 * DAY } as const;
const DAY_SWING = 4.5;
/** How long a spell of weather lasts and how far it strays. */
const SPELL = { length: 2.5 * DAY, spread: 4.5 } as const;
/** How much colder than the season a cold night gets, K. */
const COLDER = 14;

/** Outdoor temperature, °C, moved on in steps. */
export function createWeather(chance: Chance): { step(at: Instant, ms: number): number } {
  let spell = chance.normal() * SPELL.spread;
  return {
    step(at, ms) {
      const keep = Math.exp(-ms / SPELL.length);
      spell = spell * keep + chance.normal() * SPELL.spread * Math.sqrt(1 - keep * keep);
      const season = Math.cos(
        (2 * Math.PI * ((at % (365.25 * DAY)) - YEAR.coldest)) / (365.25 * DAY),
      );
      // Solar time is near enough to UTC−6.5 h for a demo; warmest at about 15:00.
      const hour = ((at / HOUR - 6.5) % 24) - 15;
      const daily = Math.cos((2 * Math.PI * hour) / 24) * DAY_SWING;
      return YEAR.mean - YEAR.swing * season + daily + spell;
    },
  };
}

/** By how much cold nights lower the temperature at `at`, K: it comes and goes as a night does. */
export function coldNight(
  nights: readonly { readonly from: Instant; readonly until: Instant }[],
  at: Instant,
): number {
  let colder = 0;
  for (const { from, until } of nights) {
    if (at <= from || at >= until) continue;
    colder = Math.max(colder, COLDER * Math.sin((Math.PI * (at - from)) / (until - from)));
  }
  return colder;
}
