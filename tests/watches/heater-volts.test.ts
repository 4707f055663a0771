import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Reading } from '../../src/readings/index.ts';
import { HOUR, instant, MINUTE } from '../../src/units/index.ts';
import { createSights, type SavedSight, savedSights, see } from '../../src/watches/index.ts';
import { learnStrength, recentPowers, type Strength } from '../../src/watches/strength.ts';
import { runs } from '../units/runs.ts';
import { planOf, play, reading, usualSite } from './scenario.ts';

/** A heater of 148 W at 230 V is a resistance of 357 Ω, whatever the mains does. */
const at = (volts: number, part = 1) => (part * 148 * volts ** 2) / 230 ** 2;

interface Hour {
  readonly volts: number;
  readonly watts: number;
}

/** So many hours of a life at a voltage, 40 minutes off and 20 on. */
const life = (hours: readonly Hour[]): string =>
  hours
    .map(
      ({ volts, watts }) => `
      volts  ${volts}x12
      water  25.4..25x8 25..25.4x4
      heater 0x8 ${watts.toFixed(2)}x4`,
    )
    .join('');

const script = (hours: readonly Hour[], expected: string): void => {
  play(`
      every 5m
      ${life(hours)}
      ${expected}
    `);
};

const hours = (count: number, volts: number, part = 1): Hour[] =>
  new Array<Hour>(count).fill({ volts, watts: at(volts, part) });

describe('a heater whose plug tells the voltage', () => {
  it('draws a fifth less on a bad day of the mains: never', () => {
    script([...hours(10, 230), ...hours(8, 203)], 'expect heater-weak never');
  });

  it('draws a fifth less and its plug tells nothing of the mains: a weak heater, as far as one sees', () => {
    play(`
      usual 26 cycles
      every 5m
${life(hours(6, 203)).replaceAll(/^ *volts.*$/gm, '')}
      expect heater-weak warning by +190m
    `);
  });

  it('is weak, though high voltage makes up for it', () => {
    expect(at(244, 0.8)).toBeGreaterThan(0.85 * at(230));
    script(
      [...hours(10, 230), ...hours(4, 244, 0.8)],
      `expect heater-weak not before +775m
      expect heater-weak warning by +790m
      expect heater-weak because weaker-than-learned`,
    );
  });

  it('was learned while the mains wandered by six percent, and is weak by a fifth: told', () => {
    const wandering = [216, 244, 230, 222, 238, 230, 216, 244, 225, 235];
    script(
      [...wandering.map((volts) => ({ volts, watts: at(volts) })), ...hours(4, 235, 0.8)],
      'expect heater-weak warning by +790m',
    );
  });

  it('was replaced by a stronger one on a day of low voltage: told as a change', () => {
    script(
      [...hours(10, 230), ...hours(7, 214, 1.3)],
      `expect heater-weak notice by +15h30m
      expect heater-weak because stronger-than-learned`,
    );
  });

  it('says at what voltage, and to which the powers are reckoned', () => {
    const { told } = play(`
      every 5m
      ${life([...hours(10, 230), ...hours(4, 244, 0.8)])}
      expect heater-weak warning by +790m
    `);
    const evidence = told.get('heater-weak:heater')?.[0]?.finding.evidence;
    expect(evidence).toMatchObject([
      { what: 'on-power', unit: 'W' },
      { what: 'learned-power', unit: 'W' },
      { what: 'weaker-by', unit: 'fraction' },
      { what: 'voltage', value: 244, unit: 'V' },
      { what: 'reckoned-to-voltage', value: 230, unit: 'V' },
    ]);
    expect(evidence?.[0]?.value).toBeCloseTo(0.8 * 148, 1);
    expect(evidence?.[2]?.value).toBeCloseTo(0.2, 3);
  });

  it('began to tell it only after the heater was learned: that counts as what was usual', () => {
    script(
      [...hours(10, 230), ...hours(4, 203)],
      `usual 10 cycles
      expect heater-weak never`,
    );
  });

  it('no longer tells it: the powers are taken as they are', () => {
    play(`
      every 5m
${life(hours(10, 230))}
${life(hours(4, 230, 0.8)).replaceAll(/^ *volts .*$/gm, '      volts _x12')}
      expect heater-weak warning by +790m
    `);
  });

  it('keeps its voltage over a restart', () => {
    script(
      [...hours(10, 230), ...hours(4, 244, 0.8)],
      `restart at +700m
      expect heater-weak warning by +790m`,
    );
  });
});

describe('the voltage that a plug tells', () => {
  const plan = planOf(usualSite());
  const volts = (value: number, minute: number, more: Partial<Reading> = {}) =>
    reading('volts', value, instant(minute * MINUTE), more);
  const run = (sights: ReturnType<typeof createSights>, from: number) => {
    for (const [minute, watts] of [0, 148, 148, 148, 0].entries()) {
      see(sights, reading('heater', watts, instant((from + minute) * MINUTE)));
    }
    return sights.heaters.get('heater')?.sight.strength?.recent.at(-1);
  };

  it('belongs to a run only while it is fresh, of now and of a mains', () => {
    const sights = createSights(plan);
    see(sights, volts(231, 1, { retained: true }));
    expect(run(sights, 2)).toEqual({ power: 148, volts: undefined });
    see(sights, volts(231, 10));
    expect(run(sights, 10)).toEqual({ power: 148, volts: 231 });
    expect(run(sights, 30)).toEqual({ power: 148, volts: undefined });
    see(sights, volts(0, 40));
    expect(run(sights, 40)).toEqual({ power: 148, volts: undefined });
  });

  it('keeps a plug from being called silent', () => {
    const sights = createSights(plan);
    see(sights, volts(231, 7));
    expect(sights.plugs.get('heater')?.sight.heard).toBe(7 * MINUTE);
  });

  it('is nothing to a sight that an earlier release has saved', () => {
    const before = createSights(plan);
    for (let i = 0; i < 10; i += 1) run(before, 10 * i);
    const saved = savedSights(before).map((one): SavedSight => {
      if (one.key !== 'heater:heater') return one;
      const { runVolts: _, strength, ...rest } = one.sight;
      const { volts: __, ...told } = strength as Strength;
      const plain = (all: Strength['first']) => all.map(({ power }) => power);
      const { first, recent } = told;
      return {
        key: 'heater:heater',
        sight: {
          ...rest,
          strength: { ...told, v: 1, first: plain(first), recent: plain(recent) },
        },
      } as SavedSight;
    });
    const restored = createSights(plan, JSON.parse(JSON.stringify(saved)));
    expect(restored.heaters.get('heater')?.sight.strength).toEqual(
      before.heaters.get('heater')?.sight.strength,
    );
    see(restored, volts(231, 200));
    expect(run(restored, 200)).toEqual({ power: 148, volts: 231 });
  });
});

describe('the strength of a resistance', () => {
  it('is the same at any voltage, learned in any order', () => {
    const anyVolts = fc.array(fc.double({ min: 90, max: 260, noNaN: true }), {
      minLength: 12,
      maxLength: 30,
    });
    fc.assert(
      fc.property(anyVolts, fc.double({ min: 10, max: 900, noNaN: true }), (all, ohms) => {
        const learned = all.reduce<Strength | undefined>(
          (state, volts, i) =>
            learnStrength(state, {
              power: volts ** 2 / ohms,
              volts,
              nameplate: 150,
              at: instant(i * HOUR),
            }),
          undefined,
        ) as Strength;
        expect(learned.changed).toBeUndefined();
        const { usual = Number.NaN, volts = Number.NaN } = learned;
        // Joule and Ohm: P = U²/R, whatever the voltage that stands for the usual one.
        expect(usual / (volts ** 2 / ohms)).toBeCloseTo(1, 9);
        for (const power of recentPowers(learned)) expect(power / usual).toBeCloseTo(1, 9);
      }),
      runs(100),
    );
  });
});
