import { DAY, type Instant, later, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';

/** Days between two spells in which a plug is not heard, on the average, and how long they last. */
const EVERY = 5 * DAY;
const LASTS = { least: 2 * MINUTE, most: 12 * MINUTE } as const;

/** Radio that does not always come through. */
export interface LostReports {
  /** Whether what the plug of this number says at `at` is lost. */
  loses(plug: number, at: Instant): boolean;
}

export function createLostReports(plugs: number, start: Instant, chance: Chance): LostReports {
  const spells = Array.from({ length: plugs }, () => spellAfter(start));

  function spellAfter(at: Instant): { readonly from: Instant; readonly until: Instant } {
    const from = later(at, Math.round(-Math.log(1 - chance.next()) * EVERY));
    const lasts = LASTS.least + (LASTS.most - LASTS.least) * chance.next();
    return { from, until: later(from, Math.round(lasts)) };
  }

  return {
    loses(plug, at) {
      const spell = spells[plug];
      if (spell === undefined || at < spell.from) return false;
      if (at < spell.until) return true;
      spells[plug] = spellAfter(at);
      return false;
    },
  };
}
