import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HOUR, instant, SECOND } from '../../src/units/index.ts';
import type { WatchName } from '../../src/watches/index.ts';
import { at, HOURS, type Scene, tellings, thermostat } from './noisy-day.ts';

const { AMPULLA_LONG } = process.env;
/** Days of chance, beside the two that are always tried. */
const DAYS_OF_CHANCE = AMPULLA_LONG === undefined ? 0 : 25;

/**
 * Each watch with something that wavers around what raises it.
 * @param aside where the middle of the noise lies, in deviations beyond the threshold
 */
type Scenes = Readonly<Record<WatchName, { of: string; scene: (aside: number) => Scene }>>;

/** Within so much a probe's noise lies, K. */
const PROBE = 0.08;

/** What lasts about a threshold, and then breaks off for `rest` minutes: whether it is there. */
function spells(minutes: number, rest: number) {
  let until = 0;
  let from = 0;
  return (minute: number, shake: () => number): boolean => {
    if (minute >= until) {
      from = until + rest;
      until = from + minutes * (1 + 0.1 * shake());
    }
    return minute >= from;
  };
}

const SCENES: Scenes = {
  'heater-stuck-on': {
    of: 'heater',
    scene: (aside) => ({
      day: (_, shake) => ({ water: 25.7 + PROBE * (aside + shake()), heater: 148 }),
    }),
  },
  'heater-not-heating': {
    of: 'heater',
    scene: (aside) => ({
      day: (_, shake) => ({ water: 24.5 - PROBE * (aside + shake()), heater: 0 }),
    }),
  },
  'heater-overmatched': {
    of: 'heater',
    scene: (aside) => ({
      day: (minute, shake) => ({
        water: 26 - ((0.1 + 0.02 * aside) * minute) / (2 * HOURS) + 0.04 * shake(),
        heater: minute > HOURS && shake() > 1.9 ? 0 : 148,
      }),
    }),
  },
  'heater-weak': {
    of: 'heater',
    scene: (aside) => ({
      day: (minute, shake) => ({
        heater: thermostat(minute).heater * (0.85 - 0.02 * (aside + shake())),
      }),
    }),
  },
  'heater-drifting': {
    of: 'heater',
    scene: (aside) => ({
      days: 4,
      day: (minute, shake) => ({
        water: thermostat(minute).water + 0.5 + PROBE * (aside + shake()),
      }),
    }),
  },
  'heater-chattering': {
    of: 'heater',
    scene: (aside) => ({
      step: 30 * SECOND,
      day: (() => {
        let watts = 0;
        return (_: number, shake: () => number) => {
          if (shake() > 0.2 - 0.2 * aside) watts = 148 - watts;
          return { heater: watts };
        };
      })(),
    }),
  },
  'heater-unheard': {
    of: 'heater',
    scene: (aside) => ({
      day: (minute, shake) => ({
        water: 21 + ((0.1 - 0.03 * aside) * minute) / (2 * HOURS) + 0.02 * shake(),
        heater: 148,
      }),
    }),
  },
  'heater-against-chiller': {
    of: 'heater',
    scene: (aside) => ({
      days: 2,
      day: (() => {
        let next = 0;
        return (minute: number, shake: () => number) => {
          const quarter = Math.floor(minute / 15);
          // One quarter of an hour in ten or so.
          while (next < quarter) next += Math.max(1, Math.round(10 - aside + shake()));
          return quarter === next
            ? { heater: 148, chiller: 180 }
            : { heater: 0, chiller: 0, water: 25.2 };
        };
      })(),
    }),
  },
  'duty-unexplained': {
    of: 'moss',
    scene: (aside) => ({
      days: 2,
      duty: (_, shake) => {
        const high = 1 / 3 - 0.01 * (2.5 * aside + shake());
        return { duty: high - 0.1, low: high - 0.2, high };
      },
      day: () => ({}),
    }),
  },
  'tank-too-warm': {
    of: 'moss',
    scene: (aside) => ({
      day: (_, shake) => ({ water: 27 + PROBE * (aside + shake()), heater: 0 }),
    }),
  },
  'tank-too-cold': {
    of: 'moss',
    scene: (aside) => ({
      day: (_, shake) => ({ water: 24 - PROBE * (aside + shake()), heater: 148 }),
    }),
  },
  'plug-silent': {
    of: 'filter',
    scene: (aside) => {
      const silent = spells(5 + aside / 2, 1);
      return {
        step: 30 * SECOND,
        day: (minute, shake) => (silent(minute, shake) ? { filter: undefined } : {}),
      };
    },
  },
  'probe-silent': {
    of: 'sand',
    scene: (aside) => {
      const silent = spells(5 + aside / 2, 1);
      return {
        step: 30 * SECOND,
        day: (minute, shake) => (silent(minute, shake) ? { sand: undefined } : {}),
      };
    },
  },
  'probe-frozen': {
    of: 'water',
    scene: (aside) => {
      const still = spells(33 + aside, 2);
      return {
        day: (minute, shake) => ({
          heater: 148,
          water: still(minute, shake) ? 24.6 : 24.6 + 0.05 * (1 + (minute % 2)),
        }),
      };
    },
  },
  'room-cooling': {
    of: 'den',
    scene: (aside) => ({
      day: (minute, shake) => ({
        air: 45 - ((3.2 + 0.2 * aside) * minute) / (3 * HOURS) + PROBE * shake(),
      }),
    }),
  },
  'pump-stopped': {
    of: 'filter',
    scene: (aside) => ({
      day: (_, shake) => ({ filter: 12 * (0.2 - 0.02 * (aside + shake())) }),
    }),
  },
  'pump-laboring': {
    of: 'filter',
    scene: (aside) => ({
      days: 4,
      day: (_, shake) => ({ filter: 12 * (1.1 + 0.03 * (aside / 4 + shake())) }),
    }),
  },
  'air-stopped': {
    of: 'bubbler',
    scene: (aside) => ({
      day: (_, shake) => ({ bubbler: 4 * (1.2 + 0.02 * (aside + shake())) }),
    }),
  },
  'light-off-plan': {
    of: 'lamp',
    scene: (aside) => ({
      day: (minute, shake) =>
        minute >= 8 * HOURS && minute < 20 * HOURS ? { lamp: 2 - 0.3 * (aside + shake()) } : {},
    }),
  },
  'mat-overheating': {
    of: 'mat',
    scene: (aside) => ({
      day: (_, shake) => ({ sand: 21 - PROBE * (aside + shake()), mat: 20 }),
    }),
  },
  'power-cut': {
    of: 'den',
    scene: (aside) => {
      const out = spells(5 + aside / 2, 1);
      const silent = {
        heater: undefined,
        chiller: undefined,
        filter: undefined,
        bubbler: undefined,
      };
      return { step: 30 * SECOND, day: (minute, shake) => (out(minute, shake) ? silent : {}) };
    },
  },
  'expensive-night': {
    of: 'moss',
    scene: (aside) => ({
      day: () => ({}),
      costs: (() => {
        const usual = { cost: 1, energyKwh: 4, degreeHours: 60, coverage: 1, basis: 'flat' };
        let cost = 1;
        return (minute: number, shake: () => number) => {
          // A forecast is made anew every hour.
          if (minute % HOURS === 0) cost = 1.5 + 0.03 * (aside + shake());
          const until = instant(at(minute) + 12 * HOUR);
          const tonight = { ...usual, cost, until, learnedDays: 20, offBy: 0.05 };
          const nights = new Array(14).fill(usual);
          return { nights: new Map([['moss', { tonight, nights }]]), month: undefined };
        };
      })(),
    }),
  },
  'cost-ahead': {
    of: 'den',
    scene: (aside) => ({
      day: () => ({}),
      costs: (_, shake) => ({
        nights: new Map(),
        month: { spent: 40, projected: 110 + aside + shake(), days: 12, coverage: 1 },
      }),
    }),
  },
};

describe('a day of noise at the threshold', () => {
  const anySeed = fc.integer({ min: 1, max: 2 ** 31 });
  const anyAside = fc.double({ min: -2.5, max: 1, noNaN: true });

  it.each(Object.entries(SCENES))(
    'opens %s at most once and closes it at most once',
    (watch, { of, scene }) => {
      const key = `${watch}:${of}`;
      let heard = 0;
      fc.assert(
        fc.property(anySeed, anyAside, (seed, aside) => {
          const { opened, closed } = tellings(scene(aside), seed);
          const counts = [opened.get(key) ?? 0, closed.get(key) ?? 0];
          expect(Math.max(...counts), `${key} opened, closed: ${counts}`).toBeLessThanOrEqual(1);
          heard += opened.get(key) ?? 0;
        }),
        // At the threshold itself, and so far beyond that it opens whatever chance says.
        {
          numRuns: DAYS_OF_CHANCE + 2,
          examples: [
            [7, 0],
            [11, 1.5],
          ],
        },
      );
      // Otherwise the noise was never at the threshold.
      expect(heard).toBeGreaterThan(0);
    },
    120_000,
  );
});
