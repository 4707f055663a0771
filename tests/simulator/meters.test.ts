import { describe, expect, it } from 'vitest';
import { createAfflictions } from '../../src/simulator/faults/afflictions.ts';
import type { Fault, HouseSpec } from '../../src/simulator/index.ts';
import { createMeters } from '../../src/simulator/meters.ts';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { device, houseOf, nook, plug, START, STEP, wattsOf } from './houses.ts';

const INTERVAL = 10 * MINUTE;

interface Said {
  readonly at: Instant;
  readonly watts: number;
  readonly online: boolean;
}

/** Runs a house with its plugs, and notes what they say. */
function metered(
  spec: HouseSpec,
  until: Instant,
  more: { faults?: readonly Fault[]; powerCuts?: readonly Instant[]; startWh?: number } = {},
) {
  const { faults = [], powerCuts = [], startWh = 0 } = more;
  const afflictions = createAfflictions(spec, faults);
  const house = houseOf(spec, { afflictions });
  const meters = createMeters(spec, house, { afflictions, powerCuts, startWh: () => startWh });
  const state = meters.plugs.get('socket');
  if (state === undefined) throw new Error('no such plug');
  const said: Said[] = [];
  const counters: number[] = [];
  let integral = 0;
  while (house.at < until) {
    house.step(STEP);
    for (const device of spec.devices) integral += (wattsOf(house, device.id) * STEP) / HOUR;
    for (const { id } of meters.step(STEP, INTERVAL)) {
      if (id === 'socket') said.push({ at: house.at, watts: state.watts, online: state.online });
    }
    counters.push(state.counterWh);
  }
  return { said, counters, integral, state };
}

describe('a simulated plug', () => {
  it('counts exactly the integral of what its device draws', () => {
    const { state, integral } = metered(nook(), later(START, 2 * DAY));
    expect(state.counterWh).toBe(integral);
    expect(integral).toBeGreaterThan(1000);
  });

  it('counts all devices of a strip', () => {
    const spec = nook({ devices: [device(), device({ id: 'filter', kind: 'filter', watts: 12 })] });
    const { state, integral } = metered(spec, later(START, DAY));
    expect(state.counterWh).toBeCloseTo(integral, 6);
  });

  it('speaks at its interval, and between only when it reports changes and there is one', () => {
    const gaps = (said: readonly Said[]): number[] =>
      said.slice(1).map(({ at }, index) => at - (said[index] as Said).at);
    const steady = metered(nook({ plugs: [plug({ reporting: 'interval' })] }), later(START, DAY));
    expect(new Set(gaps(steady.said))).toEqual(new Set([INTERVAL]));
    const lively = metered(nook(), later(START, DAY));
    expect(Math.max(...gaps(lively.said))).toBe(INTERVAL);
    const early = lively.said.filter(
      ({ at }, index) => index > 0 && at - (lively.said[index - 1] as Said).at < INTERVAL,
    );
    expect(early.length).toBeGreaterThan(4);
    for (const { at, watts } of early) {
      const before = lively.said.filter((it) => it.at < at).at(-1)?.watts ?? 0;
      expect(Math.abs(watts - before)).toBeGreaterThan(2);
    }
  });

  it('that forgets starts over from nothing at a power cut, and only then', () => {
    const cut = later(START, 6 * HOUR + 10_000);
    const forgets = metered(nook({ plugs: [plug({ forgetful: true })] }), later(START, DAY), {
      powerCuts: [cut],
      startWh: 5000,
    });
    const drops = forgets.counters.filter((wh, index) => wh < (forgets.counters[index - 1] ?? 0));
    expect(drops).toEqual([0]);
    const remembers = metered(nook(), later(START, DAY), { powerCuts: [cut], startWh: 5000 });
    expect(remembers.state.counterWh).toBeCloseTo(5000 + remembers.integral, 6);
  });

  it('that wraps goes on from zero with what is left over', () => {
    const { counters, integral, state } = metered(
      nook({ plugs: [plug({ wrapsAtWh: 100 })] }),
      later(START, 2 * DAY),
      { startWh: 60 },
    );
    expect(Math.max(...counters)).toBeLessThan(100);
    const wraps = counters.filter((wh, index) => wh < (counters[index - 1] ?? 0)).length;
    expect(wraps).toBe(Math.floor((60 + integral) / 100));
    expect(state.counterWh + 100 * wraps).toBeCloseTo(60 + integral, 6);
  });

  it('that leaves the air says so once, is silent, and goes on counting', () => {
    const from = later(START, 3 * HOUR);
    const until = later(START, 7 * HOUR);
    const { said, state, integral } = metered(nook(), later(START, 10 * HOUR), {
      faults: [{ kind: 'plug-offline', plug: 'socket', from, until }],
    });
    const meanwhile = said.filter(({ at }) => at >= from && at < until);
    expect(meanwhile.map(({ online }) => online)).toEqual([false]);
    expect(said.find(({ at }) => at >= until)).toMatchObject({ online: true });
    expect((said.find(({ at }) => at >= until) as Said).at).toBe(until);
    expect(state.counterWh).toBe(integral);
  });
});
