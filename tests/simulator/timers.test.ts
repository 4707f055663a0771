import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { type Instant, instant, later, MINUTE } from '../../src/units/index.ts';
import { device, houseOf, isOn, nook, run } from './houses.ts';

/** The moments at which the lamp goes on and off on the given local days, as luxon reckons them. */
function expected(zone: string, days: readonly string[], from: string, to: string) {
  return days.flatMap((day) => {
    const at = (time: string): number => DateTime.fromISO(`${day}T${time}`, { zone }).toMillis();
    return [at(from), at(to)];
  });
}

function switchings(zone: string, start: number, end: number, from: number, to: number): number[] {
  const lamp = device({ id: 'lamp', kind: 'light', schedule: [{ from, to }] });
  const house = houseOf(nook({ zone, devices: [lamp] }), { start: instant(start) });
  const seen: number[] = [];
  let was = false;
  run(
    house,
    instant(end),
    () => {
      if (isOn(house, 'lamp') !== was) seen.push(house.at);
      was = isOn(house, 'lamp');
    },
    MINUTE,
  );
  return seen;
}

const midnight = (zone: string, day: string): Instant =>
  instant(DateTime.fromISO(day, { zone }).toMillis());

describe('a simulated timer keeps to the wall clock', () => {
  it.each([
    ['America/Winnipeg', ['2026-03-07', '2026-03-08', '2026-03-09']],
    ['America/Winnipeg', ['2026-10-31', '2026-11-01', '2026-11-02']],
    ['Australia/Lord_Howe', ['2026-04-04', '2026-04-05', '2026-04-06']],
    ['Europe/Helsinki', ['2026-03-28', '2026-03-29', '2026-03-30']],
  ])('in %s around a change of the clock: %s', (zone, days) => {
    const start = midnight(zone, days[0] as string);
    const end = later(midnight(zone, days[2] as string), 20 * 60 * MINUTE);
    expect(switchings(zone, start, end, 9 * 60, 13 * 60)).toEqual(
      expected(zone, days, '09:00', '13:00'),
    );
  });

  it('past midnight, through the night that the clock is set forward and back', () => {
    for (const [day, hours] of [
      ['2026-03-08', 7],
      ['2026-11-01', 9],
      ['2026-06-08', 8],
    ] as const) {
      const zone = 'America/Winnipeg';
      const noonBefore = later(midnight(zone, day), -12 * 60 * MINUTE);
      const noon = later(midnight(zone, day), 12 * 60 * MINUTE);
      const [on, off] = switchings(zone, noonBefore, noon, 22 * 60, 6 * 60);
      expect(((off as number) - (on as number)) / (60 * MINUTE)).toBe(hours);
    }
  });
});
