import { describe, expect, test } from 'vitest';
import type { TariffInput } from '../../src/tariff/config.ts';
import { energyProblems, twoSeasons } from './tariffs.ts';

type TimeOfUse = Extract<TariffInput['energy'], { kind: 'time-of-use' }>;

describe('seasons', () => {
  const hours = (seasons: Record<string, { from: string; to: string }>) =>
    energyProblems({ kind: 'flat', price_per_kwh: 0.1, seasons });

  test('over the new year, or a single one from any day on, are right', () => {
    expect(hours(twoSeasons)).toEqual([]);
    expect(hours({ always: { from: '05-01', to: '04-30' } })).toEqual([]);
    expect(
      hours({ leap: { from: '02-29', to: '08-31' }, rest: { from: '09-01', to: '02-28' } }),
    ).toEqual([]);
  });

  test.each([
    ['02-28', 'AMP_TARIFF_SEASON_HOLE energy.seasons: no season on 02-29'],
    ['02-20', 'AMP_TARIFF_SEASON_HOLE energy.seasons: no season from 02-21 to 02-29'],
    ['03-01', 'AMP_TARIFF_SEASON_OVERLAP energy.seasons.summer: winter and summer on 03-01'],
    ['02-30', 'AMP_TARIFF_DATE energy.seasons.winter.to'],
    ['13-01', 'AMP_TARIFF_DATE energy.seasons.winter.to'],
  ])('a winter to %s, before a summer from 03-01: %s', (to, problem) => {
    expect(
      hours({ winter: { from: '09-01', to }, summer: { from: '03-01', to: '08-31' } }),
    ).toEqual([problem]);
  });

  const withPeriods = (...periods: TimeOfUse['periods']) =>
    energyProblems({
      kind: 'time-of-use',
      seasons: twoSeasons,
      rates: { day: { price_per_kwh: 0.1 } },
      periods,
    });

  test('hours that one of them lacks are told with its name', () => {
    expect(
      withPeriods(
        { rate: 'day', season: 'cold', from: '00:00', to: '24:00' },
        { rate: 'day', season: 'warm', from: '00:00', to: '23:00' },
      ),
    ).toEqual(['AMP_TARIFF_HOLE energy.periods: no period for every day 23:00 to 24:00 in warm']);
  });

  test('hours that all of them lack are told once', () => {
    expect(withPeriods({ rate: 'day', from: '01:00', to: '24:00' })).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for every day 00:00 to 01:00',
    ]);
  });

  test('a period in one that there is not is told, and its hours are not counted', () => {
    expect(withPeriods({ rate: 'day', season: 'wet', from: '00:00', to: '24:00' })).toEqual([
      'AMP_TARIFF_SEASON energy.periods.0.season',
    ]);
  });
});

describe('days', () => {
  const withDays = (days: TimeOfUse['periods'][number]['days'], holidays?: TimeOfUse['holidays']) =>
    energyProblems({
      kind: 'time-of-use',
      rates: { day: { price_per_kwh: 0.1 }, rest: { price_per_kwh: 0.2 } },
      periods: [
        { rate: 'day', days, from: '00:00', to: '24:00' },
        { rate: 'rest', days: ['tuesday', 'wednesday', 'thursday'], from: '00:00', to: '24:00' },
      ],
      ...(holidays === undefined ? {} : { holidays }),
    });
  const mostDays = ['monday', 'friday', 'saturday', 'sunday'] as const;
  const dates = ['2026-12-25', '2027-01-01'];

  test('may be named one by one', () => {
    expect(withDays([...mostDays])).toEqual([]);
    expect(withDays([...mostDays, 'holiday'], { dates, like: 'own' })).toEqual([]);
  });

  test('that nobody named are told by name', () => {
    expect(withDays(['monday', 'saturday'])).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for Friday, Sunday 00:00 to 24:00',
    ]);
    expect(withDays([...mostDays], { dates, like: 'own' })).toEqual([
      'AMP_TARIFF_HOLE energy.periods: no period for holidays 00:00 to 24:00',
    ]);
  });

  test('with holiday, where holidays are like another day, are refused', () => {
    expect(withDays([...mostDays, 'holiday'], { dates })).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
    expect(withDays([...mostDays, 'holiday'])).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
  });

  test('twice in a list, and holidays twice or on no day, are refused', () => {
    expect(withDays([...mostDays, 'monday'])).toEqual([
      'AMP_TARIFF_HOLIDAY energy.periods.0.days.4',
    ]);
    expect(withDays([...mostDays], { dates: [...dates, '2026-12-25', '2026-11-31'] })).toEqual([
      'AMP_TARIFF_HOLIDAY energy.holidays.dates.2: a date that stands in the list already, as entry 1',
      'AMP_TARIFF_DATE energy.holidays.dates.3',
    ]);
  });
});
