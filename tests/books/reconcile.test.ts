import { describe, expect, test } from 'vitest';
import type { Entry, Reconciliation } from '../../src/books/index.ts';
import {
  DAY,
  HOUR,
  type Instant,
  later,
  MINUTE,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../src/units/index.ts';
import { period, timeOfUse } from '../tariff/tariffs.ts';
import { at, entry } from './fish-room.ts';
import { interval, metered, QUIET, reconciled, spanOf } from './household.ts';

const DAY_OF = spanOf(QUIET);
const NOON = at('2026-03-03T18:00Z');

/** Whole slots of a device, mWh each. */
const slots = (span: Span, name: string, energy: number, more: Partial<Entry> = {}): Entry[] =>
  Array.from({ length: (span.to - span.from) / SLOT }, (_, index) =>
    entry(later(span.from, index * SLOT), name, energy, more),
  );
const hour = (start: Instant, hours = 1): Span => ({ from: start, to: later(start, hours * HOUR) });
/** The heater counted at 200 W and the lamp reckoned at 40 W, both all of a day. */
const running = (span = DAY_OF): Entry[] => [
  ...slots(span, 'heater', 50_000),
  ...slots(span, 'lamp', 10_000, { known: 'reckoned' }),
];
const codes = ({ findings }: Reconciliation): string[] => findings.map(({ code }) => code);
const found = <Code extends Reconciliation['findings'][number]['code']>(
  of: Reconciliation,
  code: Code,
) => {
  const finding = of.findings.find((one) => one.code === code);
  if (finding === undefined) throw new Error(`no ${code} among ${codes(of).join(', ')}`);
  return finding as Extract<Reconciliation['findings'][number], { code: Code }>;
};

describe('the part of the house', () => {
  test('is what the devices drew of what the house drew', () => {
    const of = reconciled({ entries: running(), house: metered(DAY_OF, HOUR, () => 1000) });
    expect(of.house).toEqual({
      energy: 24_000_000,
      estimated: 0,
      covered: DAY,
      cost: undefined,
    });
    expect(of.fishRoom).toEqual({
      energy: 5_760_000,
      byKnown: { counted: 4_800_000, integrated: 0, bridged: 0, reckoned: 960_000 },
      cost: 1_152_000,
      unpriced: 0,
      missing: 0,
      elapsed: 2 * DAY,
    });
    expect(of.whole).toEqual({
      house: 24_000_000,
      spread: 0,
      fishRoom: 5_760_000,
      guessed: 960_000,
      both: { time: DAY, house: 24_000_000, fishRoom: 5_760_000 },
      rest: 18_240_000,
      part: 0.24,
    });
    expect(of.findings).toEqual([]);
  });

  test('is unknown where nothing is known of the house, and no finding is made of that', () => {
    const of = reconciled({ entries: running() });
    expect(of.house).toBeUndefined();
    expect(of.whole).toMatchObject({ house: undefined, rest: undefined, part: undefined });
    expect(of.whole.fishRoom).toBe(5_760_000);
    expect(of.hours[12]).toMatchObject({ house: undefined, part: undefined, fishRoom: 240_000 });
    expect(of.findings).toEqual([]);
  });

  test('is unknown where the house drew nothing', () => {
    const of = reconciled({ entries: [], house: metered(DAY_OF, HOUR, () => 0) });
    expect(of.whole).toMatchObject({ house: 0, part: undefined });
  });

  test('is taken only over the hours that both know: an hour without the house does not count', () => {
    const night = metered(hour(DAY_OF.from, 6), HOUR, () => 300);
    const rest = metered({ from: later(DAY_OF.from, 8 * HOUR), to: DAY_OF.to }, HOUR, () => 1000);
    const of = reconciled({ entries: running(), house: [...night, ...rest] });
    expect(of.whole.both).toEqual({
      time: 22 * HOUR,
      house: 17_800_000,
      fishRoom: 22 * 240_000,
    });
    expect(of.whole.part).toBe((22 * 240_000) / 17_800_000);
    expect(of.hours[6]).toMatchObject({ house: undefined, fishRoom: 240_000, part: undefined });
    expect(found(of, 'intervals-missing')).toEqual({
      code: 'intervals-missing',
      days: ['2026-03-03'],
      time: 2 * HOUR,
    });
  });

  test('is unknown where no device was asked for anything yet', () => {
    const of = reconciled({ devices: {}, house: metered(DAY_OF, HOUR, () => 1000) });
    expect(of.whole).toMatchObject({ house: 24_000_000, rest: undefined, part: undefined });
  });

  test('leaves out the hours in which the daemon was down, though the lamp is reckoned on', () => {
    const down = hour(NOON, 3);
    const of = reconciled({
      entries: running().filter(
        ({ device, slot }) => device === 'lamp' || slot < down.from || slot >= down.to,
      ),
      house: metered(DAY_OF, HOUR, () => 1000),
      devices: { ...QUIET.devices, pump: { kind: 'pump', nameplate_w: 20, plug: 'rack-2' } },
    });
    expect(of.whole.both.time).toBe(21 * HOUR);
    expect(of.hours[12]).toMatchObject({ house: 1_000_000, fishRoom: 40_000, part: undefined });
    expect(found(of, 'fish-room-missing')).toEqual({
      code: 'fish-room-missing',
      time: DAY + 3 * HOUR,
      fraction: 27 / 72,
    });
  });
});

describe('several meters', () => {
  const night = { meter: 'night-storage' };

  test('add up', () => {
    const house = [...metered(DAY_OF, HOUR, () => 700), ...metered(DAY_OF, HOUR, () => 300, night)];
    expect(reconciled({ entries: running(), house }).whole).toMatchObject({
      house: 24_000_000,
      part: 0.24,
    });
  });

  test('of which one is missing for an hour leave the house of that hour unknown', () => {
    const house = [
      ...metered(DAY_OF, HOUR, () => 700),
      ...metered(DAY_OF, HOUR, () => 300, night).filter(({ from }) => from !== NOON),
    ];
    const of = reconciled({ entries: running(), house });
    expect(of.whole.both.time).toBe(23 * HOUR);
    expect(of.hours[12]).toMatchObject({ house: 700_000, part: undefined });
    expect(of.house?.covered).toBe(23 * HOUR);
  });

  test('that follow each other are one house: the old meter and the one in its place', () => {
    const house = [
      ...metered({ from: DAY_OF.from, to: NOON }, HOUR, () => 1000),
      ...metered({ from: NOON, to: DAY_OF.to }, HOUR, () => 1000, { meter: 'new' }),
    ];
    expect(reconciled({ entries: running(), house }).whole.both.time).toBe(DAY);
  });
});

describe('intervals longer than an hour', () => {
  test('are spread evenly over their hours, and the figures say so', () => {
    const of = reconciled({
      entries: running(),
      house: [interval(DAY_OF.from, DAY_OF.to, 24_000)],
    });
    expect(of.whole).toMatchObject({ house: 24_000_000, spread: 0, part: 0.24 });
    expect(of.months[0]).toMatchObject({ month: '2026-03', house: 24_000_000, spread: 0 });
    expect(of.hours[12]).toMatchObject({ house: 1_000_000, spread: 1_000_000 });
  });

  test('that reach over the edge of the span are cut, and the figure is marked', () => {
    const house = [interval(later(DAY_OF.from, -12 * HOUR), later(DAY_OF.from, 12 * HOUR), 24_000)];
    const of = reconciled({ house, entries: running() });
    expect(of.whole).toMatchObject({ house: 12_000_000, spread: 12_000_000 });
    expect(of.house?.covered).toBe(12 * HOUR);
  });

  test('across two rates are spread over both', () => {
    const tariffs = {
      lantern: timeOfUse({ day: 0.3, night: 0.1 }, [
        period('day', '06:00', '22:00'),
        period('night', '22:00', '06:00'),
      ]),
    };
    const start = later(DAY_OF.from, 4 * HOUR);
    const of = reconciled({ tariffs, house: [interval(start, later(start, 4 * HOUR), 4000)] });
    expect(of.rates.map(({ rate, house, spread }) => [rate?.id, house, spread])).toEqual([
      ['night', 2_000_000, 2_000_000],
      ['day', 2_000_000, 2_000_000],
    ]);
  });

  test('and shorter ones than a slot are added up, with what is estimated told apart', () => {
    const house = metered(DAY_OF, 5 * MINUTE, () => 10, { quality: 'estimated' });
    const of = reconciled({ house, entries: running() });
    expect(of.house).toMatchObject({ energy: 2_880_000, estimated: 2_880_000, covered: DAY });
    expect(of.whole.spread).toBe(0);
  });
});

test('what the utility says it cost is told where every interval says it', () => {
  const house = metered(DAY_OF, HOUR, () => 1000, { cost: 200_000 as never });
  expect(reconciled({ house }).house?.cost).toBe(4_800_000);
  const half = house.map((one, index) => (index === 5 ? { ...one, cost: undefined } : one));
  expect(reconciled({ house: half }).house?.cost).toBeUndefined();
});

describe('an hour in which the devices drew more than the house', () => {
  const house = metered(DAY_OF, HOUR, (index) => (index === 12 ? 100 : index === 13 ? 150 : 1000));

  test('is named, the worst first, with what it rests on', () => {
    const of = reconciled({ entries: running(), house });
    const finding = found(of, 'house-below-fish-room');
    expect(finding).toMatchObject({ count: 2, excess: 230_000 });
    expect(finding.byKnown).toEqual({
      counted: 400_000,
      integrated: 0,
      bridged: 0,
      reckoned: 80_000,
    });
    expect(finding.hours.map(({ from, excess }) => [from, excess])).toEqual([
      [NOON, 140_000],
      [later(NOON, HOUR), 90_000],
    ]);
    expect(finding.hours[0]).toMatchObject({ house: 100_000, fishRoom: 240_000 });
  });

  test('is told of at most ten, and all are counted', () => {
    const of = reconciled({ entries: running(), house: metered(DAY_OF, HOUR, () => 50) });
    const finding = found(of, 'house-below-fish-room');
    expect(finding.count).toBe(24);
    expect(finding.hours).toHaveLength(10);
  });

  test('proves nothing within what meters and their rounding may be off', () => {
    const off = metered(DAY_OF, HOUR, () => 226);
    expect(codes(reconciled({ entries: running(), house: off }))).toEqual([]);
    const more = metered(DAY_OF, HOUR, () => 225);
    expect(codes(reconciled({ entries: running(), house: more }))).toContain(
      'house-below-fish-room',
    );
  });

  test('proves nothing where the energy was only spread over its time', () => {
    const entries = running().map((one) => ({ ...one, spread: one.energy }));
    expect(codes(reconciled({ entries, house }))).not.toContain('house-below-fish-room');
  });

  test('proves nothing where the house was only read once a day', () => {
    const entries = slots(hour(NOON), 'heater', 500_000);
    const read = [interval(DAY_OF.from, DAY_OF.to, 4800)];
    const none = reconciled({ entries, house: read });
    expect(codes(none)).not.toContain('house-below-fish-room');
  });

  test('proves nothing where the house is unknown for a part of it', () => {
    const part = [interval(NOON, later(NOON, HOUR / 2), 10)];
    expect(codes(reconciled({ entries: running(), house: part }))).toEqual(['intervals-missing']);
  });
});

test('an hour that comes twice is two hours: neither stands in for the other', () => {
  const days = ['2026-11-01', '2026-11-01'] as const;
  const span = spanOf({ ...QUIET, days });
  const twice = [at('2026-11-01T06:00Z'), at('2026-11-01T07:00Z')] as const;
  const house = metered(span, HOUR, (index) => (index === 2 ? 100 : 1000));
  const of = reconciled({ days, house, entries: running(span) });
  expect((span.to - span.from) / HOUR).toBe(25);
  expect(of.hours[1]).toMatchObject({ house: 1_100_000, fishRoom: 480_000, spread: 0 });
  expect(found(of, 'house-below-fish-room').hours.map(({ from }) => from)).toEqual([twice[1]]);
});

test('a minute that a device misses now and then is not worth saying, a hundredth is', () => {
  const missing = (time: number) => {
    const [first, ...rest] = running();
    const cut = { ...(first as Entry), covered: (SLOT - time) as Millis };
    return codes(reconciled({ entries: [cut, ...rest] }));
  };
  // Two devices of 24 h: a hundredth is 28.8 min, more than a slot.
  expect(missing(SLOT)).toEqual([]);
  const dark = hour(NOON);
  const entries = running().filter(({ slot }) => slot < dark.from || slot >= dark.to);
  expect(codes(reconciled({ entries }))).toEqual(['fish-room-missing']);
});

test('a fish room that is mostly reckoned is told so, from a third on', () => {
  const lamp = (energy: number) => slots(DAY_OF, 'lamp', energy, { known: 'reckoned' });
  const heater = slots(DAY_OF, 'heater', 20_000);
  expect(codes(reconciled({ entries: [...heater, ...lamp(10_000)] }))).toEqual([]);
  const of = reconciled({ entries: [...heater, ...lamp(10_001)] });
  expect(found(of, 'reckoned-large')).toMatchObject({ reckoned: 960_096 });
});

test('a correction counts as in the books', () => {
  const of = reconciled({
    entries: running(),
    house: metered(DAY_OF, HOUR, () => 1000),
    corrections: [
      {
        number: 1,
        device: 'heater',
        span: hour(NOON, 12),
        kind: 'void',
        energy: 0 as MilliwattHours,
        reason: 'a guest charged a bicycle',
        made: DAY_OF.to,
        withdrawn: undefined,
      },
    ],
  });
  expect(of.fishRoom.energy).toBe(5_760_000 - 2_400_000);
  expect(of.fishRoom.missing).toBe(12 * HOUR);
});
