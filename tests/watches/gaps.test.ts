import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DAY, HOUR, type Instant, instant, MINUTE, SECOND } from '../../src/units/index.ts';
import {
  createGaps,
  type Gaps,
  learnGap,
  type Manner,
  patienceWith,
  usualSilence,
} from '../../src/watches/gaps.ts';

const START = instant(Date.UTC(2026, 0, 1));
const rule = { intervals: 3, at_least_min: 5 };

function speak(gaps: Gaps, lengths: readonly number[], from: Instant): Instant {
  let at = from;
  for (const length of lengths) {
    at = instant(at + length);
    learnGap(gaps, length, at);
  }
  return at;
}

const times = (n: number, length: number): number[] => new Array<number>(n).fill(length);
const learned = (lengths: readonly number[], manner: Manner) => {
  const gaps = createGaps();
  const now = speak(gaps, lengths, START);
  return { gaps, now, usual: usualSilence(gaps, manner, now) };
};

describe('the usual silence of a source', () => {
  it('is at least its interval and at most √2 times that', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2 * SECOND, max: 2 * HOUR }),
        fc.constantFrom<Manner>('steady', 'mixed'),
        (interval, manner) => {
          const { usual = 0 } = learned(times(60, interval), manner);
          expect(usual).toBeGreaterThanOrEqual(interval);
          expect(usual).toBeLessThanOrEqual(interval * Math.SQRT2 + 1);
        },
      ),
    );
  });

  it('is not known before twenty gaps, and on change not before a day', () => {
    expect(learned(times(19, MINUTE), 'steady').usual).toBeUndefined();
    expect(learned(times(20, MINUTE), 'steady').usual).toBeDefined();
    expect(learned(times(60, 20 * MINUTE), 'on-change').usual).toBeUndefined();
    expect(learned(times(80, 20 * MINUTE), 'on-change').usual).toBeDefined();
  });

  it('is not stretched by a few lost messages or an outage', () => {
    const { usual } = learned(
      [...times(3000, MINUTE), 8 * HOUR, ...times(3000, MINUTE), 2 * MINUTE, 20 * MINUTE],
      'mixed',
    );
    expect(usual).toBeLessThan(1.5 * MINUTE);
  });

  it('is that of its off times for a plug that speaks often while on', () => {
    const cycle = [...times(120, 10 * SECOND), 40 * MINUTE];
    const { usual } = learned(Array.from({ length: 60 }, () => cycle).flat(), 'on-change');
    expect(usual).toBeGreaterThanOrEqual(40 * MINUTE);
    expect(usual).toBeLessThan(60 * MINUTE);
  });

  it('covers the night of a lamp from its second day on, and still after weeks', () => {
    const day = [...times(24, HOUR / 2), 12 * HOUR];
    for (const days of [2, 3, 5, 8, 30]) {
      const { usual } = learned(Array.from({ length: days }, () => day).flat(), 'on-change');
      expect(usual, `${days} days`).toBeGreaterThanOrEqual(12 * HOUR);
    }
  });

  it('forgets how a source used to speak within some weeks', () => {
    const gaps = createGaps();
    const before = speak(gaps, times(200, HOUR), START);
    const now = speak(gaps, times((60 * DAY) / MINUTE, MINUTE), before);
    expect(usualSilence(gaps, 'mixed', now)).toBeLessThan(1.5 * MINUTE);
  });

  it('gives five minutes at least, three intervals else', () => {
    const gaps = createGaps();
    expect(patienceWith(gaps, 'mixed', instant(10 * SECOND) as never, rule, START)).toMatchObject({
      allowed: 5 * MINUTE,
      from: 'told',
    });
    expect(patienceWith(gaps, 'mixed', instant(HOUR) as never, rule, START).allowed).toBe(3 * HOUR);
    expect(patienceWith(gaps, 'on-change', undefined, rule, START)).toMatchObject({
      allowed: DAY,
      from: 'not-yet',
    });
  });
});
