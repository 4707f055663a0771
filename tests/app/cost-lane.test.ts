import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CostLane, createCostLane } from '../../src/app/cost-lane.ts';
import { Group } from '../../src/app/group.ts';
import type { House } from '../../src/app/house.ts';
import type { SavedState } from '../../src/storage/index.ts';
import { DAY, HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { loftHouse, memoryOf, NOON, reading } from './loft.ts';

const usual = loftHouse();
/** The same loft with the plugs of heater and filter exchanged. */
const swapped = loftHouse(
  ['plug: one, tank: tub }', 'plug: two, tank: tub }'],
  ['nameplate_w: 6, plug: two', 'nameplate_w: 6, plug: one'],
);

/** A cost lane with books in memory: what was committed adds up, and survives a restart. */
function daybook(start: House = usual) {
  let house = start;
  let group = new Group();
  const saved = new Map<string, SavedState>();
  const booked = new Map<string, number>();
  const latest = new Map<string, Instant>();

  const of = (room: string) =>
    new Map(
      [...saved.values()]
        .filter((it) => it.room === room && it.state !== null)
        // As the store keeps it: by way of JSON.
        .map(({ key, state }) => [key, JSON.parse(JSON.stringify(state)) as object]),
    );
  const open = (): CostLane =>
    createCostLane(
      house,
      memoryOf({ metering: of('metering'), reckoning: of('reckoning') }),
      group,
    );
  let lane = open();

  function commit(): void {
    lane.save();
    const batch = group.batch();
    for (const { device, slot, known, energy } of batch.postings) {
      const entry = `${device} ${slot} ${known}`;
      booked.set(entry, (booked.get(entry) ?? 0) + energy);
      latest.set(device, Math.max(slot, latest.get(device) ?? 0) as Instant);
    }
    for (const state of batch.states) saved.set(`${state.room}/${state.key}`, state);
    group.clear();
  }

  return {
    get lane() {
      return lane;
    },
    commit,
    /** mWh in the books; no entry of them is ever less than nothing. */
    energy(device: string): number {
      commit();
      const own = [...booked].filter(([entry]) => entry.startsWith(`${device} `));
      for (const [entry, energy] of own) expect(energy, entry).toBeGreaterThanOrEqual(0);
      return own.reduce((sum, [, energy]) => sum + energy, 0);
    },
    latestSlot: (device: string) => latest.get(device),
    /** Ends and starts again, perhaps with another house. What was not committed is lost. */
    restart(next: House = house): void {
      house = next;
      group = new Group();
      lane = open();
    },
    refit(next: House): void {
      house = next;
      lane.refit(next);
    },
  };
}

/** The first quarter of an hour after noon, in which the clock shows that it stands. */
function begin({ lane, commit }: ReturnType<typeof daybook>): void {
  for (let passed = 0; passed <= 15 * MINUTE; passed += MINUTE) lane.reckon(later(NOON, passed));
  commit();
}

/** Minutes after noon. */
const at = (minutes: number): Instant => later(NOON, minutes * MINUTE);

describe('a plug that is moved to another device', () => {
  it.each(['refit', 'restart'] as const)(
    'leaves with the first what it used, and with both what its counter says: by %s',
    (way) => {
      const book = daybook();
      const say = (minutes: number, wh: number, watts: number): void => {
        book.lane.take(reading('one', 'counter', wh, at(minutes)));
        book.lane.take(reading('one', 'power', watts, at(minutes)));
      };
      say(0, 1_000, 120);
      say(5, 1_010, 120);
      // Ten minutes at 120 W that the counter has not shown yet.
      book.lane.take(reading('one', 'power', 120, at(10)));
      book.lane.take(reading('one', 'power', 120, at(15)));
      expect(book.energy('tub-heater')).toBe(30_000);
      book[way](swapped);
      expect(book.energy('tub-filter')).toBe(0);
      say(20, 1_045, 6);
      expect(book.energy('tub-heater')).toBe(30_000);
      expect(book.energy('tub-filter')).toBe(15_000);
      say(80, 1_051, 6);
      expect(book.energy('tub-heater')).toBe(30_000);
      expect(book.energy('tub-filter')).toBe(21_000);
    },
  );

  it('sums to the difference of its counter, however often it is moved', () => {
    const stretch = fc.record({
      minutes: fc.integer({ min: 1, max: 9 }),
      // Whole watt-hours a minute, so that what is integrated is what the counter shows.
      wattHoursAMinute: fc.integer({ min: 0, max: 15 }),
      counted: fc.boolean(),
      ending: fc.constantFrom('none', 'commit', 'refit', 'restart'),
    });
    fc.assert(
      fc.property(fc.array(stretch, { maxLength: 30 }), (stretches) => {
        const book = daybook();
        let [minutes, wh, moved] = [0, 500, false];
        book.lane.take(reading('one', 'counter', wh, at(0)));
        for (const { minutes: length, wattHoursAMinute, counted, ending } of stretches) {
          book.lane.take(reading('one', 'power', 60 * wattHoursAMinute, at(minutes)));
          minutes += length;
          wh += length * wattHoursAMinute;
          if (counted) book.lane.take(reading('one', 'counter', wh, at(minutes)));
          if (ending !== 'none') book.commit();
          if (ending !== 'refit' && ending !== 'restart') continue;
          moved = !moved;
          book[ending](moved ? swapped : usual);
        }
        book.lane.take(reading('one', 'counter', wh + 1, at(minutes + 5)));
        const total = book.energy('tub-heater') + book.energy('tub-filter');
        expect(total).toBe((wh + 1 - 500) * 1_000);
      }),
      runs(300),
    );
  });

  it('books nothing while it feeds nothing, and what it used meanwhile once it does again', () => {
    const book = daybook();
    book.lane.take(reading('three', 'counter', 100, at(0)));
    book.refit(loftHouse(['plug: three, ', '']));
    book.lane.take(reading('three', 'counter', 110, at(30)));
    expect(book.energy('sand-mat')).toBe(0);
    book.refit(usual);
    book.lane.take(reading('three', 'counter', 120, at(60)));
    expect(book.energy('sand-mat')).toBe(20_000);
  });

  it('ignores plugs that the house does not have', () => {
    const book = daybook();
    book.lane.take(reading('stranger', 'power', 50, at(0)));
    book.lane.take(reading('stranger', 'power', 50, at(5)));
    expect(book.energy('stranger')).toBe(0);
  });
});

describe('a clock that jumps ahead', () => {
  it('books nothing for the jump, and everything before and after', () => {
    const book = daybook();
    const powers = (from: number, to: number): void => {
      for (let minute = from; minute <= to; minute += 1) {
        book.lane.take(reading('one', 'power', 120, at(minute)));
      }
    };
    powers(0, 10);
    expect(book.energy('tub-heater')).toBe(20_000);
    book.lane.interrupt(at(10.5));
    powers(600, 610);
    expect(book.energy('tub-heater')).toBe(21_000 + 20_000);
  });

  it('takes from a counter what it shows, spread over the jump', () => {
    const book = daybook();
    book.lane.take(reading('one', 'counter', 100, at(0)));
    book.lane.take(reading('one', 'counter', 110, at(10)));
    book.lane.interrupt(at(10.5));
    book.lane.take(reading('one', 'counter', 115, at(600)));
    expect(book.energy('tub-heater')).toBe(15_000);
  });
});

describe('a device without a plug', () => {
  /** mWh that 12 W make of a time. */
  const blower = (ms: number): number => Math.round((12 * ms) / 3600);

  it('is reckoned once for every moment, however often the daemon is ended and started', () => {
    const tick = fc.record({
      minutes: fc.integer({ min: 0, max: 2 * 24 * 60 }),
      ending: fc.constantFrom('none', 'commit', 'restart'),
    });
    fc.assert(
      fc.property(fc.array(tick, { minLength: 1, maxLength: 40 }), (ticks) => {
        const book = daybook();
        begin(book);
        let now = later(NOON, 15 * MINUTE);
        for (const { minutes, ending } of ticks) {
          now = later(now, minutes * MINUTE);
          book.lane.reckon(now);
          if (ending !== 'none') book.commit();
          if (ending === 'restart') book.restart();
        }
        expect(book.energy('blower')).toBe(blower(now - NOON));
      }),
      runs(200),
    );
  });

  it('is caught up after an outage, and not reckoned twice after what was not committed', () => {
    const book = daybook();
    begin(book);
    book.lane.reckon(at(60));
    book.restart();
    book.lane.reckon(later(NOON, 20 * DAY));
    expect(book.energy('blower')).toBe(blower(20 * DAY));
  });

  it('follows the time at which the house first has it, or the date that its config gives', () => {
    const book = daybook();
    book.refit(loftHouse(['nameplate_w: 12, ', "nameplate_w: 12, reckon_from: '2026-04-05', "]));
    begin(book);
    // From local midnight of 5 April to noon of 5 May in Winnipeg: 30 days and a half.
    expect(book.energy('blower')).toBe(blower(30.5 * DAY + 15 * MINUTE));
  });

  describe('with a clock that is wrong at the start', () => {
    const YEARS = 5 * 365 * DAY;

    /** Ticks as the schedule does, from `from` on for `ms`. */
    function live(book: ReturnType<typeof daybook>, from: number, ms: number): void {
      for (let passed = 0; passed <= ms; passed += 10_000) {
        book.lane.reckon((from + passed) as Instant);
      }
      book.commit();
    }

    it.each([
      ['ahead', YEARS],
      ['behind', -YEARS],
    ])('by years %s goes on as if nothing had been, once it is set right', (_, error) => {
      const book = daybook();
      live(book, NOON, HOUR);
      book.restart();
      live(book, NOON + 2 * HOUR + error, 20 * MINUTE);
      expect(book.energy('blower')).toBe(blower(HOUR));
      live(book, NOON + 2 * HOUR + 20 * MINUTE, HOUR);
      expect(book.energy('blower')).toBe(blower(3 * HOUR + 20 * MINUTE));
    });

    it('is believed once it has stood for an hour, and loses nothing of that hour', () => {
      const book = daybook();
      live(book, NOON, HOUR);
      book.restart();
      live(book, NOON + YEARS, 59 * MINUTE);
      expect(book.energy('blower')).toBe(blower(HOUR));
      live(book, NOON + YEARS + HOUR, 2 * HOUR);
      expect(book.energy('blower')).toBe(blower(HOUR + 3 * HOUR));
      // And when that was wrong after all, it is so again from where it is set to.
      live(book, NOON + 5 * HOUR, 2 * HOUR);
      expect(book.energy('blower')).toBe(blower(HOUR + 3 * HOUR + 2 * HOUR));
    });

    it('does not count as standing while it is set again and again', () => {
      const book = daybook();
      live(book, NOON, HOUR);
      for (let n = 1; n <= 5; n += 1) live(book, NOON + n * YEARS, 40 * MINUTE);
      expect(book.energy('blower')).toBe(blower(HOUR));
    });

    it.each([
      ['in 1970', Date.UTC(1970, 0, 1)],
      ['years ahead', NOON + YEARS],
    ])('%s at the very first start books nothing, and all once it is set right', (_, wrong) => {
      const book = daybook();
      live(book, wrong, 10 * MINUTE);
      expect(book.latestSlot('blower')).toBeUndefined();
      live(book, NOON, 2 * HOUR);
      expect(book.energy('blower')).toBe(blower(2 * HOUR));
    });

    it.each([
      ['in 1970', Date.UTC(1970, 0, 1)],
      ['years ahead', NOON + YEARS],
    ])('%s reckons no new device while others show that it is wrong', (_, wrong) => {
      const without = loftHouse([
        '  blower: { kind: air-pump, nameplate_w: 12, shares: { tub: 0.75, reeds: 0.25 } }\n',
        '',
      ]);
      const book = daybook(without);
      live(book, NOON, HOUR);
      book.restart(usual);
      live(book, wrong, 40 * MINUTE);
      expect(book.energy('blower')).toBe(0);
      book.lane.reckon(at(120));
      book.lane.reckon(at(180));
      expect(book.energy('blower')).toBe(blower(HOUR));
    });

    it('is right where a plug was heard not long ago: a new house is reckoned at once', () => {
      const book = daybook();
      book.lane.take(reading('one', 'power', 5, at(0)));
      book.commit();
      book.restart();
      book.lane.reckon(at(60));
      book.lane.reckon(at(120));
      expect(book.energy('blower')).toBe(blower(HOUR));
    });

    it('is believed by a new device as soon as by the others', () => {
      const book = daybook();
      live(book, NOON, HOUR);
      book.restart();
      live(book, NOON + YEARS, 2 * HOUR);
      const fan = '  fan: { kind: fan, nameplate_w: 12, tank: tub }\n  lamp:';
      book.refit(loftHouse(['  lamp:', fan]));
      live(book, NOON + YEARS + 2 * HOUR, HOUR);
      expect(book.energy('fan')).toBe(blower(HOUR));
    });

    it('by hours cancels out: what was reckoned too early is not reckoned again', () => {
      const book = daybook();
      live(book, NOON, HOUR);
      live(book, NOON + 7 * HOUR, HOUR);
      live(book, NOON + 2 * HOUR, HOUR);
      expect(book.energy('blower')).toBe(blower(8 * HOUR));
      live(book, NOON + 3 * HOUR, 6 * HOUR);
      expect(book.energy('blower')).toBe(blower(9 * HOUR));
    });

    it('is not to blame for a device that was away for months', () => {
      const book = daybook();
      live(book, NOON, HOUR);
      const without = loftHouse([
        '  blower: { kind: air-pump, nameplate_w: 12, shares: { tub: 0.75, reeds: 0.25 } }\n',
        '',
      ]);
      book.refit(without);
      for (let day = 1; day <= 90; day += 1) book.lane.reckon(later(NOON, day * DAY));
      book.refit(usual);
      const lamp = book.energy('lamp');
      live(book, NOON + 90 * DAY, 2 * HOUR);
      expect(book.energy('blower')).toBe(blower(3 * HOUR));
      expect(book.energy('lamp')).toBeGreaterThanOrEqual(lamp);
    });
  });
});
