import { describe, expect, it } from 'vitest';
import { judge, readMemory } from '../../src/alerts/index.ts';
import type { NightLane } from '../../src/app/night-lane.ts';
import { createAccountBook } from '../../src/books/index.ts';
import type { Store } from '../../src/storage/index.ts';
import {
  DAY,
  HOUR,
  type Instant,
  instant,
  type Logger,
  later,
  MINUTE,
  SLOT,
} from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  type ExpensiveNightState,
  lookAtExpensiveNight,
} from '../../src/watches/expensive-night.ts';
import { storeForEach } from '../storage/store-for-each.ts';
import { loftHouse, NOON } from './loft.ts';
import { LOSS, live, nightLane, silentLog, statesOf, tick, tubFit } from './nights/loft-nights.ts';

let store: Store;
storeForEach((fresh) => {
  store = fresh;
});

const START = later(NOON, -16 * DAY);
/** Five in the afternoon, nine in the evening and seven in the morning after NOON. */
const EVENING = later(NOON, 5 * HOUR);
const BEGINS = later(NOON, 9 * HOUR);
const MORNING = later(NOON, 19 * HOUR);

/** No floor: the tub costs three cents a night. */
const config = watchesConfig.parse({ expensive_night: { floor: 0 } });
const look = (lane: NightLane, now: Instant, before?: ExpensiveNightState) => {
  const { tonight, nights = [] } = lane.nights.get('tub') ?? {};
  return lookAtExpensiveNight(before, { config, tonight, nights }, now);
};

describe('nights that are over', () => {
  it('cost what the heater drew in them, at the price of each slot', () => {
    live(store, { from: START, to: NOON });
    const { lane } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: later(NOON, 2 * HOUR) });
    const { nights = [], tonight } = lane.nights.get('tub') ?? {};
    expect(tonight).toBeUndefined();
    expect(nights).toHaveLength(14);
    // 4 W/K × 7 K × 10 h = 280 Wh, at 0.10; 7 K × 10 h.
    for (const night of nights) {
      expect(night).toMatchObject({ energyKwh: 0.28, cost: 0.028, coverage: 1 });
      expect(night.degreeHours).toBeCloseTo(70, 9);
    }
  });

  it('have two prices where the tariff has', () => {
    const house = loftHouse([
      'energy: { kind: flat, price_per_kwh: 0.1 }',
      `energy: { kind: time-of-use, rates: { day: { price_per_kwh: 0.3 }, night: { price_per_kwh: 0.1 } }, periods: [
        { rate: day, from: '06:00', to: '22:00' }, { rate: night, from: '22:00', to: '06:00' }] }`,
    ]);
    live(store, { from: later(NOON, -2 * DAY), to: NOON });
    const { lane } = nightLane(house, store);
    tick(lane, { from: NOON, to: later(NOON, HOUR) });
    // 28 W: an hour before ten and one after six at 0.30, eight hours at 0.10.
    expect(lane.nights.get('tub')?.nights.at(-1)?.cost).toBeCloseTo(0.028 * (2 * 0.3 + 8 * 0.1), 9);
  });

  it('say the same as the accounts of those hours', () => {
    const house = loftHouse(['price_per_kwh: 0.1 }', 'price_per_kwh: 0.137913 }']);
    const watts = (slot: Instant) => ((slot / SLOT) % 17) * 3.1357;
    live(store, { from: later(NOON, -4 * DAY), to: NOON }, { watts });
    const { lane } = nightLane(house, store);
    tick(lane, { from: NOON, to: later(NOON, HOUR) });
    const books = createAccountBook(store, house.basis);
    const { nights = [] } = lane.nights.get('tub') ?? {};
    expect(nights).toHaveLength(4);
    nights.forEach((night, i) => {
      const span = { from: later(BEGINS, (i - 4) * DAY), to: later(MORNING, (i - 4) * DAY) };
      const account = books.account(span, NOON).devices.get('tub-heater');
      expect(night.energyKwh).toBe((account?.energy ?? 0) / 1e6);
      // Accounts round once for each local day.
      expect(Math.abs(night.cost * 1e6 - (account?.cost ?? 0))).toBeLessThanOrEqual(1 + 1e-6);
    });
  });

  it('are nine and eleven hours long where the clock changes', () => {
    for (const [evening, hours] of [
      [Date.UTC(2026, 2, 7, 23), 9],
      [Date.UTC(2026, 9, 31, 22), 11],
    ] as const) {
      live(store, { from: instant(evening - 6 * HOUR), to: instant(evening + 20 * HOUR) });
      const { lane } = nightLane(loftHouse(), store);
      tick(lane, { from: instant(evening + 18 * HOUR), to: instant(evening + 20 * HOUR) });
      const night = lane.nights.get('tub')?.nights.at(-1);
      expect(night?.energyKwh).toBeCloseTo(0.028 * hours, 9);
      expect(night?.degreeHours).toBeCloseTo(7 * hours, 9);
    }
  });

  it('are known by half where the plug was silent for half', () => {
    const silent = later(BEGINS, -DAY + 5 * HOUR);
    const watts = (slot: Instant) => (slot >= silent ? undefined : 28);
    live(store, { from: later(NOON, -2 * DAY), to: NOON }, { watts });
    const { lane } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: later(NOON, HOUR) });
    expect(lane.nights.get('tub')?.nights.at(-1)?.coverage).toBeCloseTo(0.5, 9);
  });
});

describe('tonight', () => {
  it('is forecast from five o’clock to seven in the morning', () => {
    live(store, { from: START, to: later(NOON, DAY) });
    const { lane } = nightLane(loftHouse(), store);
    const there: number[] = [];
    tick(lane, { from: NOON, to: later(NOON, DAY) }, (now) => {
      if (lane.tonight.has('tub')) there.push(now);
    });
    expect(there[0]).toBe(EVENING);
    expect(there.at(-1)).toBe(later(MORNING, -5 * MINUTE));
    expect(there).toHaveLength(14 * 12);
  });

  it('costs what it always did when all is as always', () => {
    live(store, { from: START, to: EVENING });
    const { lane } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: later(EVENING, HOUR) });
    const ahead = lane.tonight.get('tub');
    // The filter's 6 W were there in the nights before too: 0.7 of them end in the water.
    expect(ahead?.energy.value).toBeCloseTo(280_000 - 10 * 4_200, -2);
    expect(ahead?.cost?.value).toBeCloseTo(28_000 - 4_200, -1);
    expect(ahead).toMatchObject({ learnedDays: 20, offBy: undefined, known: 'fitted' });
    expect(ahead?.energy.low).toBeLessThan(ahead?.energy.value ?? 0);
    expect(ahead?.energy.high).toBeGreaterThan(ahead?.energy.value ?? 0);
    expect(look(lane, EVENING).finding).toMatchObject({ verdict: 'quiet', reason: 'as-usual' });
  });

  it('is an hour longer, and dearer, when the clock is set back in it', () => {
    const evening = instant(Date.UTC(2026, 9, 31, 22));
    live(store, { from: later(evening, -10 * DAY), to: later(evening, HOUR) });
    const { lane } = nightLane(loftHouse(), store);
    tick(lane, { from: later(evening, -2 * HOUR), to: later(evening, HOUR) });
    const { from = 0, to = 0, energy } = lane.tonight.get('tub') ?? {};
    expect((to - from) / HOUR).toBe(11);
    // 4 W/K × 7 K less the filter's 4.2 W.
    expect(energy?.value).toBeCloseTo(11 * 23_800, -2);
  });

  it('is raised by the weather in a cold snap, once, and over in the morning', () => {
    const air = (slot: Instant) => (slot >= later(NOON, 2 * HOUR) ? 7 : 17);
    live(store, { from: START, to: later(NOON, DAY) }, { air });
    const { lane } = nightLane(loftHouse(), store);
    let state: ExpensiveNightState | undefined;
    let memory = readMemory(undefined);
    const turns: string[] = [];
    tick(lane, { from: NOON, to: later(NOON, DAY + 4 * HOUR) }, (now) => {
      const looked = look(lane, now, state);
      state = looked.state;
      const { finding } = looked;
      const subject = { kind: 'tank', id: 'tub' } as const;
      const judged = judge(
        memory,
        [{ watch: 'expensive-night', subject, finding, tank: 'tub' }],
        now,
      );
      memory = judged.memory;
      for (const { to } of judged.steps) {
        turns.push(`${(now - NOON) / HOUR} h: ${to}, ${finding.reason}`);
      }
    });
    expect(turns).toEqual([
      '5 h: pending, dearer-by-weather',
      expect.stringMatching(/^5\.[12]\d* h: open, dearer-by-weather$/),
      expect.stringMatching(/^19\.[12]\d* h: closed, night-over$/),
    ]);
  });

  it('is not compared with nights of another tariff, nor of another heater', () => {
    live(store, { from: START, to: later(NOON, DAY) });
    const { lane } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: later(EVENING, HOUR) });
    expect(look(lane, EVENING).finding.reason).toBe('as-usual');
    for (const edit of [
      ['price_per_kwh: 0.1 }', 'price_per_kwh: 0.2 }'],
      [
        'tub-heater: { name: Tub heater, kind: heater, nameplate_w: 200',
        'tub-heater: { name: Tub heater, kind: heater, nameplate_w: 300',
      ],
    ] as const) {
      lane.refit(loftHouse(edit));
      lane.learn(later(EVENING, 2 * HOUR));
      expect(look(lane, EVENING).finding).toMatchObject({
        verdict: 'unknown',
        reason: 'too-few-nights',
      });
    }
    lane.refit(loftHouse());
    lane.learn(later(EVENING, 2 * HOUR));
    expect(look(lane, EVENING).finding.reason).toBe('as-usual');
  });

  it('has no cost, and the watch no opinion, where its prices are not published', () => {
    live(store, { from: START, to: EVENING });
    const bySlot = [
      'energy: { kind: flat, price_per_kwh: 0.1 }',
      'energy: { kind: slot-prices, series: heron-exchange }',
    ] as const;
    const { lane } = nightLane(loftHouse(bySlot), store);
    tick(lane, { from: NOON, to: later(EVENING, HOUR) });
    expect(lane.tonight.get('tub')).toMatchObject({ cost: undefined });
    expect(lane.tonight.get('tub')?.energy.value).toBeGreaterThan(0);
    expect(look(lane, EVENING).finding).toMatchObject({
      verdict: 'unknown',
      reason: 'coverage-low',
    });
  });

  it('is not there where the room has no probe that spoke, nor where nothing is known of the tank', () => {
    live(store, { from: START, to: EVENING });
    const moved = ['loft-air: { room: loft }', 'loft-air: { room: den }'] as const;
    for (const { lane } of [
      nightLane(loftHouse(moved), store),
      nightLane(loftHouse(), store, { fits: new Map() }),
    ]) {
      tick(lane, { from: NOON, to: later(EVENING, HOUR) });
      expect(lane.tonight.size).toBe(0);
      expect(look(lane, EVENING).finding.reason).toBe('no-forecast');
    }
  });

  it('says that it is reckoned from the tank’s size until its heat is learned', () => {
    live(store, { from: START, to: EVENING });
    const fits = new Map([['tub', { ...tubFit, status: 'prior', known: 'reckoned' } as const]]);
    const { lane } = nightLane(loftHouse(), store, { fits });
    tick(lane, { from: NOON, to: later(EVENING, HOUR) });
    expect(lane.tonight.get('tub')).toMatchObject({ learnedDays: undefined, known: 'reckoned' });
  });
});

describe('the score of a forecast', () => {
  it('is worked out in the morning after, and told to the log', () => {
    // Tonight the heater draws a quarter more than ever.
    const watts = (slot: Instant) => (slot >= BEGINS ? 1.25 : 1) * LOSS * 7;
    live(store, { from: START, to: later(NOON, DAY + HOUR) }, { watts });
    const told: unknown[] = [];
    const logger: Logger = { ...silentLog, debug: (fields) => told.push(fields) };
    const { lane } = nightLane(loftHouse(), store, { logger });
    tick(lane, { from: NOON, to: BEGINS });
    const said = lane.tonight.get('tub')?.energy.value ?? 0;
    tick(lane, { from: BEGINS, to: later(NOON, DAY + HOUR) });
    const [scored, ...more] = lane.scores('tub');
    expect(more).toHaveLength(0);
    expect(scored?.night.energy).toBe(350_000);
    expect(scored?.forecast.energy.value).toBe(said);
    expect(scored?.score.energyError).toBeCloseTo((said - 350_000) / 350_000, 12);
    expect(scored?.score.energyWithin).toBe(false);
    expect(told).toMatchObject([{ tank: 'tub', energyError: scored?.score.energyError }]);
  });

  it('of five nights tells how far forecasts are off', () => {
    // Every night draws a quarter more than its forecast: 238 Wh said, 297.5 Wh drawn, off by a fifth.
    const said = 4 * 7 - 4.2;
    const watts = (slot: Instant) => {
      const hour = ((slot - BEGINS) % DAY) / HOUR;
      return slot >= BEGINS && hour < 10 ? 1.25 * said : LOSS * 7;
    };
    live(store, { from: START, to: later(NOON, 6 * DAY) }, { watts });
    const { lane } = nightLane(loftHouse(), store);
    const offBy: (number | undefined)[] = [];
    for (let day = 0; day < 6; day += 1) {
      const evening = later(EVENING, day * DAY + MINUTE);
      tick(lane, { from: later(NOON, day * DAY), to: evening });
      offBy.push(lane.tonight.get('tub')?.offBy);
      tick(lane, { from: evening, to: later(NOON, (day + 1) * DAY) });
    }
    expect(offBy.slice(0, 5)).toEqual([undefined, undefined, undefined, undefined, undefined]);
    expect(offBy[5]).toBeCloseTo(0.2, 2);
    expect(lane.scores('tub')).toHaveLength(6);
  });
});

describe('after a restart', () => {
  it('everything is known at once, and no night is read again', () => {
    live(store, { from: START, to: later(NOON, DAY + HOUR) });
    const { lane, group } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: later(NOON, DAY + HOUR) });
    const unread = {
      ...store,
      entries: () => {
        throw new Error('read again');
      },
    };
    const again = nightLane(loftHouse(), unread, { states: statesOf(group) });
    again.lane.learn(later(NOON, DAY + HOUR));
    expect(again.lane.nights).toEqual(lane.nights);
    expect(again.lane.scores('tub')).toEqual(lane.scores('tub'));
    tick(lane, { from: later(EVENING, DAY), to: later(EVENING, DAY + 1) });
    tick(again.lane, { from: later(EVENING, DAY), to: later(EVENING, DAY + 1) });
    expect(again.lane.tonight.get('tub')?.energy).toEqual(lane.tonight.get('tub')?.energy);
  });

  it('in the middle of the night, tonight is forecast again, and its evening still scored', () => {
    live(store, { from: START, to: later(NOON, DAY + HOUR) });
    const { lane, group } = nightLane(loftHouse(), store);
    tick(lane, { from: NOON, to: BEGINS });
    const said = lane.tonight.get('tub')?.energy.value;
    const again = nightLane(loftHouse(), store, { states: statesOf(group) }).lane;
    tick(again, { from: later(BEGINS, 4 * HOUR), to: later(BEGINS, 5 * HOUR) });
    expect(again.tonight.get('tub')?.energy.value).toBeCloseTo(said ?? 0, -2);
    tick(again, { from: MORNING, to: later(NOON, DAY + HOUR) });
    expect(again.scores('tub')[0]?.forecast.energy.value).toBe(said);
  });

  it('a clock that ran a month ahead and was set back leaves no hole, and no nights to come', () => {
    live(store, { from: START, to: NOON });
    const { lane, group } = nightLane(loftHouse(), store);
    tick(lane, { from: later(NOON, 30 * DAY), to: later(NOON, 30 * DAY + 2 * HOUR) });
    const again = nightLane(loftHouse(), store, { states: statesOf(group) }).lane;
    tick(again, { from: NOON, to: later(NOON, 2 * HOUR) });
    const { nights = [] } = again.nights.get('tub') ?? {};
    expect(nights).toHaveLength(14);
    expect(nights.every(({ coverage }) => coverage === 1)).toBe(true);
  });

  it('what cannot be read is begun anew', () => {
    live(store, { from: START, to: NOON });
    const states = new Map<string, object>([['night:tub', { version: 7 }]]);
    const { lane } = nightLane(loftHouse(), store, { states });
    tick(lane, { from: NOON, to: later(NOON, 2 * HOUR) });
    expect(lane.nights.get('tub')?.nights).toHaveLength(14);
  });
});
