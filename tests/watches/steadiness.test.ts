import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Reading } from '../../src/readings/index.ts';
import { DAY, HOUR, instant, MINUTE } from '../../src/units/index.ts';
import {
  createSights,
  lookAround,
  type SavedSight,
  savedSights,
  see,
} from '../../src/watches/index.ts';
import { planOf, reading, usualSite } from './scenario.ts';

const START = instant(Date.UTC(2026, 5, 1));
const { AMPULLA_LONG } = process.env;
const RUNS = AMPULLA_LONG === undefined ? 3 : 40;

/** Seeded noise, near enough to a bell curve of the given deviation. */
function noise(seed: number, deviation: number): () => number {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  return () => (uniform() + uniform() + uniform() + uniform() - 2) * deviation * Math.sqrt(3);
}

const DAY_MINUTES = DAY / MINUTE;

/** A lumped tank with a thermostat, stepped by the minute: heat.md's equation. */
function tankLife(seed: number, days: number, fault: { stuckFrom?: number; deadFrom?: number }) {
  const shake = noise(seed, 0.05);
  const lossWPerK = 7;
  const storeJPerK = 4.4e5;
  let water = 25.2;
  let on = false;
  const rows: { minute: number; true: number; water: number; room: number; watts: number }[] = [];
  for (let minute = 0; minute < days * DAY_MINUTES; minute += 1) {
    const room = 20 + 1.5 * Math.sin((2 * Math.PI * minute) / DAY_MINUTES) + 0.05 * shake();
    if (water >= 25.4) on = false;
    if (water <= 25) on = true;
    if (minute >= (fault.stuckFrom ?? Number.POSITIVE_INFINITY)) on = true;
    if (minute >= (fault.deadFrom ?? Number.POSITIVE_INFINITY)) on = false;
    const watts = on ? 150 + 10 * shake() : 0;
    const lamp = minute % DAY_MINUTES > 600 && minute % DAY_MINUTES < 1200 ? 10 : 0;
    water += ((watts + lamp - lossWPerK * (water - room)) * 60) / storeJPerK;
    rows.push({ minute, true: water, water: water + shake(), room, watts });
  }
  return rows;
}

describe('days in the life of a tank, with noise, lamps and nights', () => {
  it.each([1, 10])('pass without a word at a look every %i minutes', (cadence) => {
    const { told } = liveThrough(tankLife(7, 4, {}), cadence);
    expect([...told]).toEqual([]);
  });

  it.each([1, 5, 10])(
    'end in a stuck relay, found in time at a look every %i minutes',
    (cadence) => {
      const from = DAY_MINUTES + 137;
      for (const seed of [1, 2, 3]) {
        const rows = tankLife(seed, 1.3, { stuckFrom: from });
        const { told } = liveThrough(rows, cadence);
        const found = told.get('heater-stuck-on:heater');
        const warmth = rows[found ?? 0]?.true ?? Number.NaN;
        expect(found).toBeGreaterThan(from);
        expect((warmth - 25.4) / (27 - 25.4)).toBeLessThan(cadence === 10 ? 0.55 : 0.4);
        expect([...told.keys()].filter((key) => key.startsWith('heater-not'))).toEqual([]);
      }
    },
  );

  it.each([1, 10])('end in a dead heater, found at a look every %i minutes', (cadence) => {
    const from = DAY_MINUTES + 137;
    for (const seed of [1, 2]) {
      const rows = tankLife(seed, 1.6, { deadFrom: from });
      const { told } = liveThrough(rows, cadence);
      const found = told.get('heater-not-heating:heater');
      const due = rows.findIndex(({ minute, true: water }) => minute > from && water < 24.5);
      expect(found).toBeGreaterThan(from);
      expect((found ?? Number.POSITIVE_INFINITY) - due).toBeLessThan(120);
    }
  });
});

/** Minute at which each watch was first told. */
function liveThrough(rows: ReturnType<typeof tankLife>, cadence: number) {
  const plan = planOf(usualSite());
  const sights = createSights(plan);
  const states = new Map<string, unknown>();
  const raisedFrom = new Map<string, number>();
  const told = new Map<string, number>();
  for (const { minute, water, room, watts } of rows) {
    const now = instant(START + minute * MINUTE);
    see(sights, reading('water', water, now));
    see(sights, reading('room', room, now));
    see(sights, reading('heater', watts, now));
    if (minute % cadence !== 0) continue;
    for (const { key, finding, state } of lookAround(plan, sights, states, {
      now,
      connectedSince: START,
    })) {
      states.set(key, state);
      if (finding.verdict === 'quiet') raisedFrom.delete(key);
      if (finding.verdict !== 'raised') continue;
      if (!raisedFrom.has(key)) raisedFrom.set(key, minute);
      const since = raisedFrom.get(key) ?? minute;
      if (!told.has(key) && (minute - since) * MINUTE >= finding.hold) told.set(key, minute);
    }
  }
  return { told };
}

const throughJson = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

describe('a restart at any moment', () => {
  const source = fc.constantFrom('water' as const, 'room' as const, 'heater' as const);
  const step = fc.record({
    source,
    value: fc.double({ min: 0, max: 30, noNaN: true }),
    wait: fc.integer({ min: 0, max: 20 * MINUTE }),
    kind: fc.constantFrom('value', 'value', 'value', 'value', 'on', 'gone'),
  });

  it('changes no finding and no state after it', () => {
    fc.assert(
      fc.property(
        fc.array(step, { minLength: 2, maxLength: 60 }),
        fc.integer({ min: 0, max: 59 }),
        (steps, restart) => {
          const plan = planOf({ ...usualSite(), set: 25 });
          // Both are restored, so that both know that they were away; one has been through JSON.
          let one = createSights(plan);
          let other = createSights(plan);
          let states = new Map<string, unknown>();
          let otherStates = new Map<string, unknown>();
          let now = START;
          steps.forEach(({ source, value, wait, kind }, i) => {
            now = instant(now + wait);
            const watts = source === 'heater' ? value * 8 : value;
            const said: Reading =
              kind === 'value'
                ? reading(source, watts, now)
                : { ...reading(source, kind === 'on' ? 1 : 0, now), measure: 'presence' };
            see(one, said);
            see(other, said);
            const moment = { now, connectedSince: START };
            const looks = lookAround(plan, one, states, moment);
            expect(throughJson(lookAround(plan, other, otherStates, moment))).toEqual(
              throughJson(looks),
            );
            states = new Map(looks.map(({ key, state }) => [key, state]));
            otherStates = throughStates(states);
            if (i === restart) {
              const saved: SavedSight[] = savedSights(one);
              one = createSights(plan, saved);
              other = createSights(plan, throughJson(saved));
            }
          });
          expect(throughJson(savedSights(other))).toEqual(throughJson(savedSights(one)));
        },
      ),
      { numRuns: 20 * RUNS },
    );
  });

  it('goes on where it was: the sights before and after say the same at that moment', () => {
    const plan = planOf(usualSite());
    const sights = createSights(plan);
    const rows = tankLife(3, 1, {});
    for (const { minute, water, room, watts } of rows) {
      const now = instant(START + minute * MINUTE);
      see(sights, reading('water', water, now));
      see(sights, reading('room', room, now));
      see(sights, reading('heater', watts, now));
    }
    const now = instant(START + 24 * HOUR);
    const moment = { now, connectedSince: START };
    const restored = createSights(plan, throughJson(savedSights(sights)));
    expect(lookAround(plan, restored, new Map(), moment)).toEqual(
      lookAround(plan, sights, new Map(), moment),
    );
    expect(restored.heaters.get('heater')?.sight.learned?.cycles).toBeGreaterThan(10);
  });
});

const throughStates = (states: ReadonlyMap<string, unknown>): Map<string, unknown> =>
  new Map(throughJson([...states]).map(([key, state]) => [key, state ?? undefined]));
