import { describe, expect, test } from 'vitest';
import { spanBetween } from '../../src/app/commands/moments.ts';
import { Calendar } from '../../src/units/index.ts';

const berlin = new Calendar('Europe/Berlin');
const iso = (from: string, to: string): string[] => {
  const span = spanBetween(from, to, berlin);
  return [new Date(span.from).toISOString(), new Date(span.to).toISOString()];
};

describe('a span between two options', () => {
  test.each([
    ['2026-01-01', '2026-01-01', '2025-12-31T23:00:00.000Z', '2026-01-01T23:00:00.000Z'],
    ['2026-03-29', '2026-03-29', '2026-03-28T23:00:00.000Z', '2026-03-29T22:00:00.000Z'],
    [
      '2026-07-01T14:15',
      '2026-07-01 16:00',
      '2026-07-01T12:15:00.000Z',
      '2026-07-01T14:00:00.000Z',
    ],
    [
      '2026-10-25T02:30+02:00',
      '2026-10-25T02:30+01:00',
      '2026-10-25T00:30:00.000Z',
      '2026-10-25T01:30:00.000Z',
    ],
  ])('from %s to %s', (from, to, begins, ends) => {
    expect(iso(from, to)).toEqual([begins, ends]);
  });

  test.each([
    ['2026-10-25T02:30', '2026-10-26', /no one moment/], // shown twice
    ['2026-03-29T02:30', '2026-03-30', /no one moment/], // skipped
    ['yesterday', '2026-03-30', /is no date or time/],
    ['2026-06-31T10:00', '2026-07-30', /is no date or time/],
    ['2026-06-01T25:00', '2026-07-30', /is no date or time/],
    ['2026-06-02', '2026-06-01', /no time lies between/],
  ])('from %s to %s is refused', (from, to, why) => {
    expect(() => spanBetween(from, to, berlin)).toThrow(
      expect.objectContaining({ code: 'AMP_APP_TIME', message: expect.stringMatching(why) }),
    );
  });

  test('so is a day that the calendar does not have', () => {
    expect(() => spanBetween('2026-02-30', '2026-03-01', berlin)).toThrow(
      expect.objectContaining({ code: 'AMP_CALENDAR_DATE' }),
    );
  });
});
