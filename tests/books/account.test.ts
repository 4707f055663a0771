import { describe, expect, test } from 'vitest';
import {
  type Account,
  type AccountBasis,
  addAccounts,
  type Entry,
  type Figures,
  missing,
  reckon,
  reckonable,
} from '../../src/books/index.ts';
import { compileShares } from '../../src/shares/index.ts';
import { compileTariffs } from '../../src/tariff/index.ts';
import {
  Calendar,
  HOUR,
  type Instant,
  type LocalDate,
  later,
  type Millis,
  type MilliwattHours,
  SLOT,
  type Span,
  slotPieces,
} from '../../src/units/index.ts';
import { flat, lanternHollow } from '../tariff/tariffs.ts';
import { at, basisOf, device, draw as drawn, entry } from './fish-room.ts';

const calendar = new Calendar('America/Winnipeg');
const day = (date: string): Span => calendar.dayOf(date as LocalDate);
const basis = (
  devices: AccountBasis['devices'],
  tariffs: Parameters<typeof compileTariffs>[0] = { plain: flat(0.2) },
): AccountBasis => basisOf(calendar, compileTariffs(tariffs, calendar, 'CAD'), devices);
const draw = (span: Span, entries: readonly Entry[], on: AccountBasis, now = span.to): Account =>
  drawn(span, entries, on, { now });
const of = (figures: ReadonlyMap<string, Figures>, id: string): Figures => {
  const found = figures.get(id);
  if (found === undefined) throw new Error(`no figures of ${id}`);
  return found;
};
const slots = (span: Span): Instant[] => [...slotPieces(span.from, span.to)].map((p) => p.slot);

describe('a worked day', () => {
  // Wednesday 13 May 2026. A heater draws a steady 400 W:
  // day 16 h × 0.4 = 6.4 kWh × 0.3125 = 2.00; night 8 h × 0.4 = 3.2 kWh × 0.1875 = 0.60.
  // A lamp of 80 W, 09:00–17:00: 0.64 kWh × 0.3125 = 0.20. Together 2.80.
  const wednesday = day('2026-05-13');
  const devices = {
    'heron-heater': device('heater', 400, { plug: 'plug-1', shares: { heron: 0.75, reed: 0.25 } }),
    'reed-lamp': device('light', 80, { tank: 'reed', schedule: [{ from: '09:00', to: '17:00' }] }),
  };
  const on = basis(devices, { lantern: lanternHollow });
  const lamp = reckonable('reed-lamp', devices['reed-lamp'], calendar);
  const entries = [
    ...slots(wednesday).map((slot) => entry(slot, 'heron-heater', 100_000)),
    ...reckon(lamp, wednesday.from, wednesday.to),
  ].sort((a, b) => a.slot - b.slot);
  const account = draw(wednesday, entries, on);

  test('costs what the hand says', () => {
    expect(account.site).toMatchObject({ energy: 10_240_000, cost: 2_800_000, unpriced: 0 });
    expect(of(account.devices, 'heron-heater')).toMatchObject({
      energy: 9_600_000,
      cost: 2_600_000,
    });
    expect(of(account.devices, 'reed-lamp')).toMatchObject({ energy: 640_000, cost: 200_000 });
  });

  test('says which part is counted and which reckoned', () => {
    expect(account.site.byKnown).toEqual({
      counted: { energy: 9_600_000, cost: 2_600_000 },
      integrated: { energy: 0, cost: 0 },
      bridged: { energy: 0, cost: 0 },
      reckoned: { energy: 640_000, cost: 200_000 },
    });
  });

  test('says what was used at which rate', () => {
    const rates = [...of(account.devices, 'heron-heater').byRate.values()];
    expect(rates.map(({ rate, energy, cost }) => [rate.id, energy, cost])).toEqual([
      ['night', 3_200_000, 600_000],
      ['day', 6_400_000, 2_000_000],
    ]);
  });

  test('gives each tank its shares: three quarters of 2.60, and a quarter and the lamp', () => {
    expect(of(account.tanks, 'heron')).toMatchObject({ energy: 7_200_000, cost: 1_950_000 });
    expect(of(account.tanks, 'reed')).toMatchObject({ energy: 3_040_000, cost: 850_000 });
    expect(of(account.tanks, 'upkeep')).toMatchObject({ energy: 0, cost: 0 });
  });

  test('knows of the whole day', () => {
    expect(missing(account.site)).toBe(0);
    expect(account.site.elapsed).toBe(48 * HOUR);
  });
});

describe('coverage', () => {
  const friday = day('2026-05-15');
  const on = basis({
    heater: device('heater', 100, { plug: 'plug-1', tank: 'newt' }),
    silent: device('pump', 20, { plug: 'plug-2', tank: 'newt' }),
  });
  const entries = slots(friday)
    .slice(0, 40)
    .map((slot) => entry(slot, 'heater', 1_000));

  test('is of the time that has passed', () => {
    const account = draw(friday, entries, on, later(friday.from, 12 * HOUR));
    const heater = of(account.devices, 'heater');
    expect(heater).toMatchObject({ covered: 10 * HOUR, elapsed: 12 * HOUR });
    expect(missing(heater)).toBe(2 * HOUR);
  });

  test('a device without an entry is told of, as missing all the time', () => {
    const silent = of(draw(friday, entries, on).devices, 'silent');
    expect(silent).toMatchObject({ energy: 0, cost: 0, covered: 0, elapsed: 24 * HOUR });
    expect(missing(silent)).toBe(24 * HOUR);
  });

  test('of a tank and the site is summed over their devices', () => {
    const account = draw(friday, entries, on);
    expect(missing(account.site)).toBe((14 + 24) * HOUR);
    expect(missing(of(account.tanks, 'newt'))).toBe((14 + 24) * HOUR);
    expect(missing(of(account.tanks, 'upkeep'))).toBe(0);
  });

  test('is not asked for before the books began, nor after now', () => {
    const since = later(friday.from, 20 * HOUR);
    const account = drawn(friday, [], on, { since });
    expect(of(account.devices, 'silent').elapsed).toBe(4 * HOUR);
    expect(draw(friday, [], on, friday.from).site.elapsed).toBe(0);
  });

  test('is not asked of a reckoned device before the day it is reckoned from', () => {
    const filter = device('filter', 10, { reckon_from: '2026-05-15' });
    const { from } = day('2026-05-14');
    const account = draw({ from, to: friday.to }, [], basis({ filter }));
    expect(of(account.devices, 'filter').elapsed).toBe(24 * HOUR);
  });

  test("one day's excess does not hide the next one's hole", () => {
    const twice = slots(friday).map((slot) =>
      entry(slot, 'heater', 1, { covered: (2 * SLOT) as Millis }),
    );
    const account = draw({ from: friday.from, to: day('2026-05-16').to }, twice, on);
    expect(missing(of(account.devices, 'heater'))).toBe(24 * HOUR);
  });
});

describe('a device that is moved or goes out of use', () => {
  const week = calendar.week(at('2026-05-13T12:00Z')); // Monday 11 to Sunday 17 May
  const daily = calendar
    .dates(week)
    .flatMap((date) => slots(day(date)).map((slot) => entry(slot, 'heater', 10_000)));

  // 0.96 kWh a day, 0.192 in money: Monday is the newt's, Tuesday to Sunday the heron's.
  test('splits the week at the local midnight of its day', () => {
    const moved = [{ on: '2026-05-12', tank: 'heron' }];
    const heater = device('heater', 100, { plug: 'plug-1', tank: 'newt', moved });
    const { tanks } = draw(week, daily, basis({ heater }));
    expect(of(tanks, 'newt')).toMatchObject({
      energy: 960_000,
      cost: 192_000,
      elapsed: 24 * HOUR,
    });
    expect(of(tanks, 'heron')).toMatchObject({
      energy: 6 * 960_000,
      cost: 6 * 192_000,
      elapsed: 6 * 24 * HOUR,
    });
  });

  test('is asked for nothing after its last day, and keeps what it had', () => {
    const heater = device('heater', 100, { plug: 'plug-1', tank: 'newt', until: '2026-05-12' });
    const account = draw(week, daily.slice(0, 2 * 96), basis({ heater }));
    expect(of(account.devices, 'heater')).toMatchObject({
      energy: 2 * 960_000,
      covered: 48 * HOUR,
      elapsed: 48 * HOUR,
    });
    expect(of(account.tanks, 'newt').energy).toBe(2 * 960_000);
  });
});

describe('a room heater by heat need', () => {
  // It gives 40 W all day. Heron loses 2 W/K × (25 − 15) = 20 W, reed 0.4 × (20 − 15) = 2 W: of
  // 0.96 kWh they get 0.48 and 0.048, and the rest has warmed the room. At 0.2: 0.096 and 0.0096.
  test('gives each tank what it needs, in energy and in money, and the upkeep the rest', () => {
    const wednesday = day('2026-05-13');
    const stove = device('room-heater', 1_000, {
      plug: 'plug-1',
      divided: { by: 'heat-need', among: ['heron', 'reed'], room_without_c: 15 },
    });
    const tanks = {
      heron: { volume_l: 200, lossWPerK: 2, keptC: 25 },
      reed: { volume_l: 60, lossWPerK: 0.4, keptC: 20 },
    };
    const account = draw(
      wednesday,
      slots(wednesday).map((slot) => entry(slot, 'stove', 10_000)),
      { ...basis({}), devices: { stove }, shares: compileShares({ stove }, tanks, calendar) },
    );
    const given = [...account.tanks].map(([id, { energy, cost }]) => [id, energy, cost]);
    expect(given).toEqual([
      ['heron', 480_000, 96_000],
      ['reed', 48_000, 9_600],
      ['upkeep', 432_000, 86_400],
    ]);
  });
});

describe('energy that cannot be priced or placed', () => {
  const on = basis(
    { heater: device('heater', 100, { plug: 'plug-1', tank: 'newt' }) },
    { plain: flat(0.2, '2026-05-02') },
  );
  const first = day('2026-05-01');
  const span = { from: first.from, to: day('2026-05-02').to };
  const entries = slots(span).map((slot) => entry(slot, 'heater', 25_000));

  test('before the first tariff it is kept apart, and not told as free', () => {
    const account = draw(span, entries, on);
    expect(account.site).toMatchObject({ energy: 4_800_000, unpriced: 2_400_000, cost: 480_000 });
    expect(of(account.tanks, 'newt')).toMatchObject({ unpriced: 2_400_000, cost: 480_000 });
    expect([...account.site.byRate.values()].map(({ energy }) => energy)).toEqual([2_400_000]);
  });

  test('of a device that has left the config, it is the upkeep’s', () => {
    const account = draw(day('2026-05-02'), [entry(day('2026-05-02').from, 'gone', 500_000)], on);
    expect(of(account.devices, 'gone')).toMatchObject({ energy: 500_000, cost: 100_000 });
    expect(of(account.tanks, 'upkeep')).toMatchObject({ energy: 500_000, cost: 100_000 });
    expect(missing(of(account.devices, 'gone'))).toBe(0);
  });
});

describe('time that is only spread', () => {
  test('is told in all, and at each rate', () => {
    const on = basis(
      { pump: device('pump', 40, { plug: 'plug-1', tank: 'newt' }) },
      {
        lantern: lanternHollow,
      },
    );
    const start = at('2026-05-13T10:45Z'); // 05:45, the last quarter-hour of the night
    const spread = { spread: 6_000 as MilliwattHours };
    const account = draw(
      day('2026-05-13'),
      [entry(start, 'pump', 10_000, spread), entry(later(start, SLOT), 'pump', 10_000, spread)],
      on,
    );
    expect(account.site.spread).toBe(12_000);
    expect([...account.site.byRate.values()].map((amount) => amount.spread)).toEqual([
      6_000, 6_000,
    ]);
    expect(of(account.tanks, 'newt').spread).toBe(12_000);
  });
});

describe('rounding', () => {
  // 0.2 per kWh on 96 × 2 mWh = 192 mWh: 38.4 micro-units, 38. Slot by slot 0.4 would round to 0.
  test('happens once for a device, day and rate', () => {
    const monday = day('2026-05-11');
    const entries = slots(monday).map((slot) => entry(slot, 'mat', 2));
    const on = basis({ mat: device('heat-mat', 5, { plug: 'plug-1', tank: 'newt' }) });
    expect(draw(monday, entries, on).site.cost).toBe(38);
  });

  // Each day 3 mWh × 0.2 = 0.6 → 1 micro-unit. The week is the sum of its days, 7, not 21 × 0.2 = 4.2.
  test('of days is not undone in the week', () => {
    const week = calendar.week(at('2026-05-13T12:00Z'));
    const entries = calendar.dates(week).map((date) => entry(day(date).from, 'mat', 3));
    const on = basis({ mat: device('heat-mat', 5, { plug: 'plug-1', tank: 'newt' }) });
    expect(draw(week, entries, on).site.cost).toBe(7);
  });

  // 5 mWh counted and 5 mWh reckoned at 0.1: 0.5 each, 1 together; the running sum gives it first.
  test('by how it is known adds up to the cost of the whole', () => {
    const slot = day('2026-05-11').from;
    const entries = [entry(slot, 'mat', 5), entry(slot, 'mat', 5, { known: 'reckoned' })];
    const on = basis({ mat: device('heat-mat', 5, { tank: 'newt' }) }, { plain: flat(0.1) });
    const { cost, byKnown } = draw(day('2026-05-11'), entries, on).site;
    expect([cost, byKnown.counted.cost, byKnown.reckoned.cost]).toEqual([1, 1, 0]);
  });
});

describe('accounts of two spans', () => {
  test('add, figure by figure', () => {
    const on = basis({ mat: device('heat-mat', 5, { plug: 'plug-1', tank: 'newt' }) });
    const [a, b] = [day('2026-05-11'), day('2026-05-12')];
    const entries = [entry(a.from, 'mat', 1_250), entry(b.from, 'mat', 2_250)];
    const both = { from: a.from, to: b.to };
    const sum = addAccounts(draw(a, [entries[0] as Entry], on), draw(b, [entries[1] as Entry], on));
    expect(sum).toEqual(draw(both, entries, on));
  });

  test('leave the two as they were', () => {
    const on = basis({ mat: device('heat-mat', 5, { plug: 'plug-1', tank: 'newt' }) });
    const a = draw(day('2026-05-11'), [entry(day('2026-05-11').from, 'mat', 1_250)], on);
    const before = structuredClone(a.site);
    addAccounts(a, a);
    expect(a.site).toEqual(before);
  });
});

test('the upkeep is told of even when it has nothing', () => {
  expect([...draw(day('2026-05-11'), [], basis({})).tanks.keys()]).toEqual(['upkeep']);
});
