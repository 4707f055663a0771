import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type BookedEntry, stripDivider, stripOf, stripsFrom } from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  later,
  MINUTE,
  type Millis,
  type MilliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { flat } from '../tariff/tariffs.ts';
import { runs } from '../units/runs.ts';
import { at, basisOf, device, draw, entry } from './fish-room.ts';

const calendar = new Calendar('America/Winnipeg');
const onBar = { plug: 'bar', tank: 'newt' };
const devices = {
  pump: device('pump', 30, onBar),
  lamp: device('light', 40, { ...onBar, schedule: [{ from: '09:00', to: '17:00' }] }),
  mat: device('heat-mat', 12, { ...onBar, duty: 0.5 }),
};
const strips = stripsFrom(devices, { bar: { remainder: 'pump' } });
const divide = stripDivider(strips, devices, calendar);
const bar = stripOf('bar');

const noon = at('2026-05-13T17:00Z');
const midnight = at('2026-05-13T05:00Z');
const energies = (entries: readonly BookedEntry[]): Record<string, number> =>
  Object.fromEntries(entries.map((one) => [one.device, one.energy]));

describe('a quarter-hour of a strip', () => {
  // In 15 min: the lamp 40 W × ¼ h = 10 Wh, the mat half of 12 W × ¼ h = 1.5 Wh.
  test('is divided by nameplate, schedule and duty, and the remainder gets the rest', () => {
    expect(energies(divide([entry(noon, bar, 20_000)]))).toEqual({
      pump: 8_500,
      lamp: 10_000,
      mat: 1_500,
    });
  });

  test('outside of its schedule leaves a device nothing', () => {
    expect(energies(divide([entry(midnight, bar, 20_000)]))).toEqual({
      pump: 18_500,
      lamp: 0,
      mat: 1_500,
    });
  });

  test('that holds less than the others would draw is divided in proportion', () => {
    expect(energies(divide([entry(noon, bar, 2_300)]))).toEqual({ pump: 0, lamp: 2_000, mat: 300 });
  });

  test('that is known in part gives the others their part of that time', () => {
    const third = { covered: (5 * MINUTE) as Millis };
    expect(energies(divide([entry(noon, bar, 8_000, third)]))).toEqual({
      pump: 4_167,
      lamp: 3_333,
      mat: 500,
    });
  });

  test('counts as known for each device, drawing by its schedule, and as divided', () => {
    const parts = divide([entry(noon, bar, 20_000, { drawing: SLOT })]);
    expect(
      parts.map(({ device: id, covered, drawing, divided }) => [id, covered, drawing, divided]),
    ).toEqual([
      ['pump', SLOT, SLOT, 8_500],
      ['lamp', SLOT, SLOT, 10_000],
      ['mat', SLOT, SLOT / 2, 1_500],
    ]);
  });

  test('keeps its ways of knowing apart, each in proportion', () => {
    const half = { covered: (SLOT / 2) as Millis };
    const parts = divide([
      entry(noon, bar, 15_000, half),
      entry(noon, bar, 5_000, { ...half, known: 'bridged' }),
    ]);
    expect(parts.map(({ device: id, known, energy }) => [id, known, energy])).toEqual([
      ['pump', 'counted', 6_375],
      ['lamp', 'counted', 7_500],
      ['mat', 'counted', 1_125],
      ['pump', 'bridged', 2_125],
      ['lamp', 'bridged', 2_500],
      ['mat', 'bridged', 375],
    ]);
  });

  test('that was taken back is taken from the remainder', () => {
    expect(energies(divide([entry(noon, bar, -40)]))).toEqual({ pump: -40, lamp: 0, mat: 0 });
  });
});

test('what a plug booked while it fed one device stays with that device', () => {
  const before = entry(noon, 'pump', 7_000);
  expect(divide([before])).toEqual([before]);
});

test('what a plug booked as a strip is the last device’s that is left on it, undivided', () => {
  const left = { pump: devices.pump };
  const alone = stripDivider(stripsFrom(left, {}), left, calendar);
  expect(alone([entry(noon, bar, 7_000)])).toEqual([entry(noon, 'pump', 7_000)]);
});

test('a device that is out of use gets nothing after its last day', () => {
  const gone = { ...devices, lamp: { ...devices.lamp, until: '2026-05-12' } };
  const after = stripDivider(strips, gone, calendar);
  expect(energies(after([entry(noon, bar, 20_000)]))).toEqual({ pump: 18_500, mat: 1_500 });
  const dayBefore = later(noon, -24 * HOUR);
  expect(energies(after([entry(dayBefore, bar, 20_000)]))).toMatchObject({ lamp: 10_000 });
});

test('an account holds the devices of a strip, each with what is divided of it', () => {
  const basis = basisOf(calendar, compileTariffs({ plain: flat(0.2) }, calendar, 'CAD'), devices, {
    strips,
  });
  const day = calendar.day(noon);
  const account = draw(
    day,
    [entry(noon, bar, 20_000), entry(later(noon, SLOT), 'pump', 500)],
    basis,
  );
  expect(account.site).toMatchObject({ energy: 20_500, divided: 20_000 });
  expect(account.devices.get('pump')).toMatchObject({ energy: 9_000, divided: 8_500 });
  expect(account.devices.get('lamp')).toMatchObject({ energy: 10_000, divided: 10_000 });
  expect(account.tanks.get('newt')?.divided).toBe(20_000);
  expect([...account.devices.keys()]).toEqual(['pump', 'lamp', 'mat']);
});

const amount = fc.integer({ min: -100, max: 30_000_000 });
const known = fc.constantFrom('counted', 'integrated', 'bridged', 'reckoned' as const);

test('whatever a strip books is divided whole, each way of knowing by itself', () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          slot: fc.nat({ max: 200 }),
          known,
          energy: amount,
          spread: fc.nat({ max: 1_000 }),
          covered: fc.nat({ max: SLOT }),
        }),
        { maxLength: 20 },
      ),
      (list) => {
        const entries = list
          .map(({ slot, ...one }) =>
            entry(later(noon, slot * SLOT), bar, one.energy, {
              known: one.known,
              spread: one.spread as MilliwattHours,
              covered: one.covered as Millis,
            }),
          )
          .sort((a, b) => a.slot - b.slot);
        const parts = divide(entries);
        const sums = (all: readonly BookedEntry[]): Record<string, number> => {
          const sum: Record<string, number> = {};
          for (const one of all) {
            const key = `${one.slot} ${one.known}`;
            sum[key] = (sum[key] ?? 0) + one.energy;
            sum[`${key} spread`] = (sum[`${key} spread`] ?? 0) + one.spread;
          }
          return sum;
        };
        expect(sums(parts)).toEqual(sums(entries));
        for (const { energy, divided } of parts) {
          expect(Number.isInteger(energy)).toBe(true);
          expect(divided).toBe(energy);
        }
      },
    ),
    runs(),
  );
});
