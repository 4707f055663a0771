import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { FROM, heard, INTERVAL } from './heard.ts';
import { nook, START } from './houses.ts';

const UNTIL = later(START, 6 * HOUR);
const spec = nook({
  probes: [
    { id: 'reed-water', tank: 'reed-tank', room: undefined },
    { id: 'nook-air', tank: undefined, room: 'nook' },
  ],
});

/** What the probe in the water says before, during and after its fault. */
function told(kind: 'displaced-probe' | 'frozen-probe' | 'silent-probe', probe = 'reed-water') {
  const fault: Fault = { kind, probe, from: FROM };
  const house = heard(spec, { habits: { waterChanges: false } });
  house.go(FROM);
  house.simulator.strike(fault);
  house.go(UNTIL);
  house.simulator.mend(fault);
  house.go(later(UNTIL, 3 * HOUR));
  const all = house.temperatures(probe);
  const between = (from: Instant, to: Instant): number[] =>
    all.filter(({ at }) => at > from && at <= to).map(({ value }) => value);
  return {
    before: between(START, FROM),
    first: between(FROM, later(FROM, 10 * MINUTE)),
    during: between(FROM, UNTIL),
    after: between(UNTIL, later(UNTIL, 3 * HOUR)),
    house,
  };
}

/** As many as it says in so long a time. */
const reports = (ms: number): number => ms / INTERVAL;

describe('a displaced probe', () => {
  it('takes on the air of its room within ten minutes, while the water stays warm', () => {
    const { before, first, during, after, house } = told('displaced-probe');
    expect(Math.min(...before)).toBeGreaterThan(24.5);
    expect(first[0]).toBeGreaterThan(21);
    expect(first.at(-1)).toBeLessThan(20.1);
    const settled = during.slice(first.length);
    expect(Math.max(...settled)).toBeLessThan(20.1);
    expect(Math.min(...settled)).toBeGreaterThan(18.5);
    expect(Math.min(...after)).toBeGreaterThan(24.5);
    expect(house.simulator.house.tanks.get('reed-tank')?.temperature).toBeGreaterThan(24.6);
  });
});

describe('a frozen probe', () => {
  it('says its last value again and again, at its usual pace', () => {
    const { before, during, after } = told('frozen-probe');
    expect(during).toHaveLength(reports(3 * HOUR));
    expect(new Set(during)).toEqual(new Set([before.at(-1)]));
    expect(new Set(after).size).toBeGreaterThan(3);
  });
});

describe('a silent probe', () => {
  it('says nothing, the others as before', () => {
    const { before, during, after, house } = told('silent-probe');
    expect(during).toEqual([]);
    for (const spoken of [before, after]) {
      expect(Math.abs(spoken.length - reports(3 * HOUR))).toBeLessThan(2);
    }
    const others = house.temperatures('nook-air').filter(({ at }) => at > FROM && at <= UNTIL);
    expect(others).toHaveLength(reports(3 * HOUR));
  });

  it('may be one in the air of a room', () => {
    expect(told('silent-probe', 'nook-air').during).toEqual([]);
  });
});

describe('a probe in a plug', () => {
  it('is left out of the message that they share, which is said all the same', () => {
    const fault: Fault = { kind: 'silent-probe', probe: 'reed-water', from: FROM };
    const shared = {
      topic: 'box/{id}',
      names: {},
      values: [
        { measure: 'power', plug: 'socket', at: '/w', unit: 'W' },
        { measure: 'temperature', probe: 'reed-water', at: '/c', unit: 'C' },
      ],
      decimal_comma: false,
    } as const;
    const house = heard(nook(), { faults: [fault] }, [shared]);
    house.go(UNTIL);
    const keys = (from: Instant, to: Instant): Set<string> =>
      new Set(
        house
          .said('box/any')
          .filter(({ at }) => at > from && at <= to)
          .map(({ payload }) => Object.keys(JSON.parse(payload)).join(' ')),
      );
    expect(keys(START, later(FROM, -MINUTE))).toEqual(new Set(['w c']));
    expect(keys(FROM, UNTIL)).toEqual(new Set(['w']));
  });
});

describe('a probe that now and then says a wild value', () => {
  it('does so once, rarely, and only where that is asked for', () => {
    const wild = (probeSpikes: boolean): number => {
      const house = heard(nook({ devices: [], plugs: [] }), {
        habits: { waterChanges: false, probeSpikes },
        weather: () => 5,
      });
      house.go(later(START, 60 * DAY));
      const said = house.temperatures();
      return said.filter(({ value }, index) => {
        const around = said[index - 1] ?? said[index + 1];
        const off = Math.abs(value - (around?.value ?? value)) > 2;
        const next = said[index + 1];
        if (off && next !== undefined && around !== undefined) {
          // Back to where it was, or this was the way back.
          return Math.abs(next.value - around.value) < 1;
        }
        return false;
      }).length;
    };
    expect(wild(false)).toBe(0);
    const spikes = wild(true);
    expect(spikes).toBeGreaterThan(0);
    expect(spikes).toBeLessThan(15);
  });
});
