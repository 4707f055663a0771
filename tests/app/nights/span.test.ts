import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dateBefore, nightAround, nightOn } from '../../../src/app/nights/span.ts';
import { Calendar, HOUR, type Instant, instant, type LocalDate } from '../../../src/units/index.ts';
import { runs } from '../../units/runs.ts';

const winnipeg = new Calendar('America/Winnipeg');
const hoursOf = (date: string, calendar = winnipeg): number => {
  const { from, to } = nightOn(date as LocalDate, calendar);
  return (to - from) / HOUR;
};

describe('a night', () => {
  it('lasts from nine in the evening to seven in the morning by the wall clock', () => {
    const night = nightOn('2026-05-05' as LocalDate, winnipeg);
    expect(new Date(night.evening).toISOString()).toBe('2026-05-05T22:00:00.000Z');
    expect(new Date(night.from).toISOString()).toBe('2026-05-06T02:00:00.000Z');
    expect(new Date(night.to).toISOString()).toBe('2026-05-06T12:00:00.000Z');
  });

  // The clocks of Winnipeg change on 8 March and 1 November 2026, those of Lord Howe, by half an
  // hour, on 5 April and 4 October.
  it('is an hour shorter or longer when the clock changes in it, or half an hour', () => {
    expect(hoursOf('2026-03-07')).toBe(9);
    expect(hoursOf('2026-03-08')).toBe(10);
    expect(hoursOf('2026-10-31')).toBe(11);
    const island = new Calendar('Australia/Lord_Howe');
    expect(hoursOf('2026-04-04', island)).toBe(10.5);
    expect(hoursOf('2026-10-03', island)).toBe(9.5);
  });

  it('is there from the evening on and over in the morning, in any zone at any time', () => {
    const zones = ['America/Winnipeg', 'Asia/Kathmandu', 'Australia/Lord_Howe', 'Europe/Lisbon'];
    const calendars = zones.map((zone) => new Calendar(zone));
    const time = fc.integer({ min: Date.UTC(2020, 0), max: Date.UTC(2035, 0) });
    fc.assert(
      fc.property(fc.constantFrom(...calendars), time, (calendar, at) => {
        const now = instant(at);
        const night = nightAround(now, calendar);
        const { minute } = calendar.local(now);
        expect(night === undefined).toBe(minute >= 7 * 60 && minute < 17 * 60);
        if (night === undefined) return;
        expect(now >= night.evening && now < night.to).toBe(true);
        expect(calendar.local(night.from).minute).toBe(21 * 60);
        expect(calendar.local(night.to).minute).toBe(7 * 60);
        const again = nightOn(calendar.dateAt(night.from), calendar);
        expect(again).toEqual(night);
        const before = nightOn(dateBefore(calendar.dateAt(night.from), calendar), calendar);
        expect(before.to).toBeLessThan(night.evening);
        expect(night.from - before.from).toBeLessThanOrEqual(25 * HOUR);
        expect(before.evening).toBeGreaterThan((night.evening - 26 * HOUR) as Instant);
      }),
      runs(200),
    );
  });
});
