import { describe, expect, test } from 'vitest';
import {
  type Correction,
  corrected,
  createAccountBook,
  stripOf,
  stripsFrom,
} from '../../src/books/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  later,
  MINUTE,
  type Millis,
  type MilliwattHours,
  SLOT,
} from '../../src/units/index.ts';
import { flat } from '../tariff/tariffs.ts';
import { at, basisOf, device, entry, memoryStore } from './fish-room.ts';

const noon = at('2026-05-13T17:00Z');
const slot = (number: number): Instant => later(noon, number * SLOT);

/** A correction of the lamp's slots `from` to before `to`; a void without energy. */
const correction = (
  number: number,
  from: number,
  to: number,
  energy?: number,
  more: Partial<Correction> = {},
): Correction => ({
  number,
  device: 'lamp',
  span: { from: slot(from), to: slot(to) },
  kind: energy === undefined ? 'void' : 'book',
  energy: (energy ?? 0) as MilliwattHours,
  reason: 'a dryer hung on that plug',
  made: later(noon, 24 * HOUR),
  withdrawn: undefined,
  ...more,
});

const lamp = [0, 1, 2, 3].map((number) => entry(slot(number), 'lamp', 10_000));

describe('a void', () => {
  test('takes the entries of its slots and the time they cover, and no other’s', () => {
    const pump = entry(slot(1), 'pump', 7_000);
    const left = corrected([...lamp, pump], [correction(1, 1, 3)]);
    expect(left).toEqual([lamp[0], pump, lamp[3]]);
  });

  test('that was withdrawn takes nothing', () => {
    const withdrawn = { at: later(noon, 25 * HOUR), reason: 'it was the other plug' };
    expect(corrected(lamp, [correction(1, 0, 4, undefined, { withdrawn })])).toEqual(lamp);
  });

  test('leaves the entries as they were', () => {
    const before = structuredClone(lamp);
    corrected(lamp, [correction(1, 0, 4), correction(2, 0, 4, 100)]);
    expect(lamp).toEqual(before);
  });
});

describe('a booking', () => {
  test('is spread evenly, as reckoned, the earlier slots first among odd milliwatt-hours', () => {
    const booked = corrected([], [correction(1, 0, 4, 10)]);
    expect(booked.map(({ energy }) => energy)).toEqual([3, 3, 2, 2]);
    expect(booked[0]).toEqual({
      slot: noon,
      device: 'lamp',
      known: 'reckoned',
      energy: 3,
      spread: 3,
      covered: SLOT,
      drawing: 0,
    });
  });

  test('may take back', () => {
    expect(corrected([], [correction(1, 0, 4, -6)]).map(({ energy }) => energy)).toEqual([
      -2, -2, -1, -1,
    ]);
  });

  test('covers only what nothing else covers', () => {
    const part = entry(slot(0), 'lamp', 4_000, { covered: (10 * MINUTE) as Millis });
    const booked = corrected(
      [part, entry(slot(1), 'lamp', 4_000)],
      [correction(1, 0, 3, 3_000), correction(2, 0, 3, 3_000)],
    );
    const covered = [0, 1, 2].map((number) =>
      booked.filter((one) => one.slot === slot(number)).map((one) => one.covered / MINUTE),
    );
    expect(covered).toEqual([
      [10, 5, 0],
      [15, 0, 0],
      [15, 0],
    ]);
  });

  test('counts within a part of the books as in the whole', () => {
    const booking = [correction(1, 0, 7, 23)];
    const whole = corrected([], booking);
    const parts = [
      { from: slot(-2), to: slot(3) },
      { from: slot(3), to: slot(6) },
      { from: slot(6), to: slot(20) },
    ].flatMap((within) => corrected([], booking, within));
    expect(parts).toEqual(whole);
  });
});

describe('corrections hold in the order they were made', () => {
  test('a later void takes an earlier booking too', () => {
    expect(corrected(lamp, [correction(2, 0, 4), correction(1, 0, 4, 99)])).toEqual([]);
  });

  test('a booking after a void stands', () => {
    const booked = corrected(lamp, [correction(1, 0, 4), correction(2, 0, 4, 8_000)]);
    expect(booked.map(({ known, energy, covered }) => [known, energy, covered])).toEqual(
      Array.from({ length: 4 }, () => ['reckoned', 2_000, SLOT]),
    );
  });
});

test('of a device on a strip they work on what was divided', () => {
  const calendar = new Calendar('America/Winnipeg');
  const devices = {
    pump: device('pump', 30, { plug: 'bar', tank: 'newt' }),
    lamp: device('light', 40, { plug: 'bar', tank: 'newt' }),
  };
  const store = memoryStore();
  store.book(entry(slot(0), stripOf('bar'), 18_000), entry(slot(1), stripOf('bar'), 18_000));
  store.correct(correction(1, 0, 1));
  const basis = basisOf(calendar, compileTariffs({ plain: flat(0.2) }, calendar, 'CAD'), devices, {
    strips: stripsFrom(devices, { bar: { remainder: 'pump' } }),
  });
  const account = createAccountBook(store, basis).account(calendar.day(noon), later(noon, HOUR));
  expect(account.devices.get('lamp')?.energy).toBe(10_000);
  expect(account.devices.get('pump')?.energy).toBe(16_000);
});
