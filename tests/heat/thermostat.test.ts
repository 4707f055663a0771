import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { learnThermostat, type ThermostatState, thermostatOf } from '../../src/heat/index.ts';
import { instant, MINUTE } from '../../src/units/index.ts';

/** Switchings 20 minutes apart: on, off, on, off … */
function learn(pairs: readonly (readonly [on: number, off: number])[], from?: ThermostatState) {
  let state = from;
  let at = (from?.last ?? 0) + 20 * MINUTE;
  for (const [on, off] of pairs) {
    for (const [temperature, drawing] of [
      [on, true],
      [off, false],
    ] as const) {
      state = learnThermostat(state, { temperature, drawing, at: instant(at) });
      at += 20 * MINUTE;
    }
  }
  if (state === undefined) throw new Error('nothing to learn');
  return state;
}

const times = <T>(n: number, value: T): T[] => new Array<T>(n).fill(value);

describe('a thermostat, read from the temperature at switching', () => {
  it('is not known before three switchings each way', () => {
    expect(thermostatOf(learn(times(2, [25, 25.4])))).toBeUndefined();
    expect(thermostatOf(learn(times(3, [25, 25.4])))).toEqual({
      switchOff: 25.4,
      switchOn: 25,
      cycles: 3,
      spread: 0,
    });
  });

  it('is not moved by one switching far off: an unplugged heater, a wrong sample', () => {
    const state = learn(
      [
        [25, 29],
        [21, 25.4],
      ],
      learn(times(6, [25, 25.4])),
    );
    expect(thermostatOf(state)).toMatchObject({ switchOff: 25.4, switchOn: 25 });
  });

  it('does not rise because a sticking relay lets go late, now and then, anywhere', () => {
    const late = [26.2, 27.4, 26.8, 28.9, 26.1, 27.7, 28.2].map((off) => [25, off] as const);
    expect(thermostatOf(learn(late, learn(times(6, [25, 25.4]))))?.switchOff).toBe(25.4);
  });

  it('follows a dial that was turned, once five switchings agree', () => {
    const before = learn(times(6, [25, 25.4]));
    expect(thermostatOf(learn(times(4, [27, 27.4]), before))?.switchOff).toBe(25.4);
    expect(thermostatOf(learn(times(5, [27, 27.4]), before))).toMatchObject({
      switchOff: 27.4,
      switchOn: 27,
    });
  });

  it('ignores a contact that bounces', () => {
    let state = learn(times(4, [25, 25.4]));
    for (let i = 0; i < 30; i += 1) {
      const at = instant((state.last ?? 0) + 2000);
      state = learnThermostat(state, { temperature: 25.8, drawing: i % 2 === 0, at });
    }
    expect(thermostatOf(state)?.switchOff).toBe(25.4);
    expect(state.cycles).toBe(4);
  });

  it('has no band where it switches on warmer than off: the probe is not in its water', () => {
    expect(thermostatOf(learn(times(6, [25.4, 24])))).toBeUndefined();
  });

  it('remembers little, survives JSON, and stays within what it saw', () => {
    const celsius = fc.double({ min: 20, max: 30, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(celsius, celsius), { minLength: 3, maxLength: 60 }),
        (pairs) => {
          const state = learn(pairs);
          const again = learn(pairs.slice(-1), JSON.parse(JSON.stringify(state)));
          expect(again).toEqual(learn(pairs.slice(-1), state));
          expect(state.offs.length + state.strayOffs.length).toBeLessThanOrEqual(25);
          const offs = pairs.map(([, off]) => off);
          const { switchOff } = thermostatOf(state) ?? { switchOff: offs[0] ?? 0 };
          expect(switchOff).toBeGreaterThanOrEqual(Math.min(...offs));
          expect(switchOff).toBeLessThanOrEqual(Math.max(...offs));
        },
      ),
    );
  });
});
