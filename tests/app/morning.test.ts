import { describe, expect, it } from 'vitest';
import { nextMorning } from '../../src/app/morning.ts';
import { Calendar, instant } from '../../src/units/index.ts';

const winnipeg = new Calendar('America/Winnipeg');
const morningAfter = (utc: string, calendar = winnipeg): string =>
  new Date(nextMorning(instant(Date.parse(utc)), calendar)).toISOString();

describe('the morning until which a snooze lasts', () => {
  it('is tomorrow’s by day, and in the evening', () => {
    expect(morningAfter('2026-01-14T18:00:00Z')).toBe('2026-01-15T13:00:00.000Z');
    expect(morningAfter('2026-01-15T05:30:00Z')).toBe('2026-01-15T13:00:00.000Z');
  });

  it('is the coming one after midnight', () => {
    expect(morningAfter('2026-01-15T06:00:00Z')).toBe('2026-01-15T13:00:00.000Z');
    expect(morningAfter('2026-01-15T11:00:00Z')).toBe('2026-01-15T13:00:00.000Z');
  });

  it('is not the one that is just about to come', () => {
    expect(morningAfter('2026-01-15T11:00:01Z')).toBe('2026-01-16T13:00:00.000Z');
    expect(morningAfter('2026-01-15T13:00:00Z')).toBe('2026-01-16T13:00:00.000Z');
  });

  // Manitoba set its clocks forward on 2026-03-08 and back on 2026-11-01 (IANA tz database).
  it('is seven by the wall clock when the clock changes in the night', () => {
    expect(morningAfter('2026-03-08T04:00:00Z')).toBe('2026-03-08T12:00:00.000Z');
    expect(morningAfter('2026-11-01T04:00:00Z')).toBe('2026-11-01T13:00:00.000Z');
  });

  it('knows zones that are half an hour off', () => {
    expect(morningAfter('2026-01-14T18:00:00Z', new Calendar('Asia/Kolkata'))).toBe(
      '2026-01-15T01:30:00.000Z',
    );
  });
});
