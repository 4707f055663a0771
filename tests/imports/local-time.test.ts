import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { changeIn, decodeChangeRule } from '../../src/imports/espi/local-time.ts';
import { reference } from './sample.ts';

/** Decoded by other means; see reference/espi/SOURCE.md. */
const DECODED: Record<string, Record<string, number>> = JSON.parse(
  reference('espi/expected.json').toString(),
)._dst_rule_decoded;

const encode = (month: number, operator: number, day: number, weekday: number, hour: number) =>
  (((month << 28) | (operator << 25) | (day << 20) | (weekday << 17) | (hour << 12)) >>> 0)
    .toString(16)
    .toUpperCase()
    .padStart(8, '0');

const on = (year: number, rule: string): string => {
  const decoded = decodeChangeRule(rule);
  if (decoded === undefined) throw new Error(`no rule: ${rule}`);
  return new Date(changeIn(year, decoded)).toISOString().slice(0, 16);
};

describe('the rule by which a clock is changed', () => {
  it('decodes as published', () => {
    expect(Object.keys(DECODED)).toHaveLength(2);
    for (const [text, { seconds, hours, dow, dom, operator, month }] of Object.entries(DECODED)) {
      expect(decodeChangeRule(text)).toEqual({
        month,
        operator,
        dayOfMonth: dom,
        weekday: dow,
        hour: hours,
        second: seconds,
      });
    }
  });

  it('agrees with the tz database on every North American change since 2007', () => {
    for (let year = 2007; year <= 2037; year += 1) {
      const offset = (month: number, day: number, hour: number): number =>
        DateTime.fromObject({ year, month, day, hour }, { zone: 'America/New_York' }).offset;
      const forward = on(year, '360E2000');
      const back = on(year, 'B40E2000');
      const marchDay = Number(forward.slice(8, 10));
      const novemberDay = Number(back.slice(8, 10));
      expect([forward.slice(5, 7), back.slice(5, 7)]).toEqual(['03', '11']);
      expect([offset(3, marchDay, 1), offset(3, marchDay, 4)]).toEqual([-300, -240]);
      expect([offset(11, novemberDay, 0), offset(11, novemberDay, 4)]).toEqual([-240, -300]);
    }
  });

  it('knows the last Sunday, a weekday on or after a day, and a plain day', () => {
    // Europe changes on the last Sunday of March: 2024-03-31, 2026-03-29 (tz database).
    const lastSunday = encode(3, 7, 0, 7, 2);
    expect(on(2024, lastSunday)).toBe('2024-03-31T02:00');
    expect(on(2026, lastSunday)).toBe('2026-03-29T02:00');
    expect(on(2026, encode(3, 1, 8, 7, 2))).toBe('2026-03-08T02:00');
    expect(on(2025, encode(3, 1, 8, 7, 2))).toBe('2025-03-09T02:00');
    expect(on(2026, encode(10, 0, 25, 0, 3))).toBe('2026-10-25T03:00');
  });

  it('is none for places without daylight saving, and for nonsense', () => {
    const texts = ['FFFFFFFF', '00000000', '', 'xyz', '360E200', undefined];
    expect(texts.map(decodeChangeRule)).toEqual(texts.map(() => undefined));
  });
});
