import { describe, expect, it } from 'vitest';
import { plugConfig } from '../../src/metering/config.ts';
import {
  beginMeter,
  type MeterState,
  meter,
  meterSpec,
  readMeter,
  rebase,
} from '../../src/metering/index.ts';
import { CodedError, MINUTE, SECOND, watts } from '../../src/units/index.ts';
import { Ledger } from './ledger.ts';
import { reading, spec } from './scenario.ts';

type Take = (measure: 'power' | 'counter', value: number, minute: number) => void;

const NOON = Date.UTC(2025, 0, 1, 12);

function deepFreeze<T>(value: T): T {
  if (typeof value === 'object' && value !== null) {
    Object.freeze(value);
    for (const part of Object.values(value)) deepFreeze(part);
  }
  return value;
}

describe('the state of a meter', () => {
  it('is never written to: each step makes a new one', () => {
    let state = deepFreeze(beginMeter());
    for (let i = 0; i < 400; i++) {
      const at = NOON + i * 20 * SECOND;
      const counters = i % 50 === 7 ? 0 : i;
      state = deepFreeze(meter(spec(), state, reading('power', i % 9, at)).state);
      state = deepFreeze(meter(spec(), state, reading('counter', counters, at)).state);
    }
    expect(state.counter?.wh).toBe(399);
  });

  it('stays the same object when a reading changes nothing', () => {
    const state = meter(spec(), beginMeter(), reading('counter', 1, NOON)).state;
    const nothing = [
      reading('temperature', 20, NOON + 1),
      reading('presence', 1, NOON + 1),
      reading('power', 5, NOON + 1, { retained: true }),
      reading('counter', 1, NOON + 1, { retained: true }),
      reading('power', 5, NOON + 1, { from: 'probe' }),
    ];
    for (const next of nothing) {
      const step = meter(spec(), state, next);
      expect(step.state).toBe(state);
      expect([...step.postings, ...step.notes]).toEqual([]);
    }
  });

  it('is stored in less than 500 bytes, and in 1 kB with a lamp off for a week', () => {
    let state = beginMeter();
    const size = (): number => JSON.stringify(state).length;
    for (let i = 0; i < 1000; i++) {
      const at = NOON + i * 10 * SECOND;
      state = meter(spec(), state, reading('power', 60.7 + (i % 7) / 10, at)).state;
      state = meter(spec(), state, reading('counter', i / 7, at)).state;
      expect(size()).toBeLessThan(500);
    }
    for (let i = 1000; i < 61_000; i++) {
      const at = NOON + i * 10 * SECOND;
      state = meter(spec(), state, reading('power', 0, at)).state;
      state = meter(spec(), state, reading('counter', 999 / 7, at)).state;
    }
    expect(size()).toBeLessThan(1000);
  });

  it('is read back as it was', () => {
    const { state } = meter(spec(), beginMeter(), reading('counter', 1.25, NOON));
    expect(readMeter(JSON.parse(JSON.stringify(state)))).toEqual(state);
  });

  it('of version 1 is taken up as if every reading had arrived at its own time', () => {
    const old = {
      version: 1,
      until: NOON,
      usual: 60_000,
      power: { at: NOON, watts: 60, holds: true },
      mean: { time: 60_000, watts: 60, duty: 1 },
      crumb: 0,
      counter: {
        at: NOON,
        wh: 100,
        moved: NOON,
        step: 0.5,
        hushed: { at: NOON - MINUTE, wh: 99, until: NOON },
      },
      suspect: null,
      open: null,
      runs: [],
      gaps: [],
      kept: 0,
      behind: null,
    };
    const ledger = new Ledger();
    let state = readMeter(old);
    expect(state).toEqual({ ...old, version: 2 });
    for (const [measure, value] of [
      ['power', 60],
      ['counter', 101],
    ] as const) {
      const step = meter(spec(), state, reading(measure, value, NOON + MINUTE));
      state = step.state;
      ledger.post(step.postings);
    }
    expect(ledger.total(['counted'])).toMatchObject({ energy: 1_000, covered: 60_000 });
    expect(ledger.total(['integrated'])).toMatchObject({ energy: 0, covered: 0 });
    expect(readMeter(JSON.parse(JSON.stringify(state)))).toEqual(state);
    expect(readMeter({ ...old, counter: null }).counter).toBeNull();
  });

  it.each([{ version: 3 }, {}, null, 7])('of another version is refused: %j', (saved) => {
    expect(() => readMeter(saved)).toThrow(
      expect.objectContaining({ code: 'AMP_METERING_STATE', name: CodedError.name }),
    );
  });
});

describe('a plug that moves to another device', () => {
  const move = (): { first: Ledger; second: Ledger; move(): void; take: Take } => {
    const first = new Ledger();
    const second = new Ledger();
    let ledger = first;
    let state: MeterState = beginMeter();
    return {
      first,
      second,
      move: () => {
        state = rebase(state);
        ledger = second;
      },
      take: (measure, value, minute) => {
        const step = meter(spec(), state, reading(measure, value, NOON + minute * MINUTE));
        state = step.state;
        ledger.post(step.postings);
      },
    };
  };

  it('takes nothing from the first one, and gives the second only the rest of the next step', () => {
    const plug = move();
    plug.take('counter', 1000, 0);
    for (let minute = 0; minute <= 20; minute++) plug.take('power', 120, minute);
    plug.move();
    for (let minute = 21; minute <= 50; minute++) plug.take('power', 120, minute);
    plug.take('counter', 1100, 50);

    expect(plug.first.total(['integrated'])).toMatchObject({ energy: 40_000, covered: 1_200_000 });
    expect(plug.first.total(['counted']).energy).toBe(0);
    expect(plug.second.total(['counted'])).toMatchObject({ energy: 60_000, covered: 1_800_000 });
    expect(plug.second.total(['integrated']).energy).toBe(0);
    expect([...plug.first.faults(), ...plug.second.faults()]).toEqual([]);
  });

  it('books nothing twice when the next steps are smaller than what was integrated before', () => {
    const plug = move();
    plug.take('counter', 1000, 0);
    for (let minute = 0; minute <= 20; minute++) plug.take('power', 120, minute);
    plug.move();
    // Nothing is drawn from here on; the counter shows in small steps what the first one took.
    plug.take('power', 0, 21);
    plug.take('counter', 1000, 22);
    plug.take('counter', 1015, 23);
    plug.take('counter', 1042, 24);

    const all = ['counted', 'integrated'] as const;
    const booked = plug.first.total(all).energy + plug.second.total(all).energy;
    expect(booked).toBe(42_000);
    expect([...plug.first.faults(), ...plug.second.faults()]).toEqual([]);
  });

  it('takes nothing from the first one with several counters either', () => {
    const two = spec({
      registers: new Map([
        ['a', 1 as const],
        ['b', 1 as const],
      ]),
    });
    const ledgers = [new Ledger(), new Ledger()] as const;
    let state = beginMeter();
    const take = (ledger: Ledger, value: number, minute: number, register?: string): void => {
      const at = NOON + minute * MINUTE;
      const next =
        register === undefined
          ? reading('power', value, at)
          : reading('counter', value, at, { register });
      const step = meter(two, state, next);
      state = step.state;
      ledger.post(step.postings);
    };
    for (const register of ['a', 'b']) take(ledgers[0], 100, 0, register);
    for (let minute = 0; minute <= 20; minute++) take(ledgers[0], 120, minute);
    take(ledgers[0], 125, 20, 'a');
    state = rebase(state);
    for (let minute = 21; minute <= 30; minute++) take(ledgers[1], 120, minute);
    take(ledgers[1], 135, 30, 'a');
    take(ledgers[1], 130, 30, 'b');

    expect(ledgers[0].total(['integrated']).energy).toBe(40_000);
    expect(ledgers[1].total(['counted']).energy).toBe(25_000);
    expect(ledgers[1].total(['integrated']).energy).toBe(0);
  });

  it('gives the second what was counted since, when the counter was under suspicion', () => {
    const plug = move();
    plug.take('counter', 1000, 0);
    for (let minute = 0; minute <= 40; minute++) plug.take('power', 60, minute);
    plug.take('counter', 99_000, 40);
    plug.move();
    for (let minute = 41; minute <= 80; minute++) plug.take('power', 60, minute);
    plug.take('counter', 99_041, 80);

    expect(plug.first.total(['integrated'])).toMatchObject({ energy: 40_000, covered: 2_400_000 });
    expect(plug.second.total(['counted'])).toMatchObject({ energy: 41_000, covered: 2_400_000 });
    expect(plug.second.total(['integrated'])).toMatchObject({ energy: 0, covered: 0 });
    expect([...plug.first.faults(), ...plug.second.faults()]).toEqual([]);
  });
});

describe('the spec of a plug', () => {
  it('has the units of the program, and says what the config leaves to be learned', () => {
    const device = { bridge: 'last-power' as const, drawing: watts(3) };
    expect(meterSpec('left', plugConfig.parse({}), device, 'UTC')).toEqual({
      plug: 'left',
      limit: 3680,
      reporting: 'on-change',
      usualInterval: undefined,
      maxGap: undefined,
      counterRestarts: 'never',
      calendar: undefined,
      counterWrapsAt: undefined,
      bidirectional: false,
      signed: false,
      registers: undefined,
      bridge: 'last-power',
      drawing: 3,
    });
    expect(
      meterSpec(
        'left',
        plugConfig.parse({
          counter_restarts: 'at-midnight',
          registers: { day: 'add', 'fed-in': 'subtract' },
        }),
        device,
        'America/Winnipeg',
      ),
    ).toMatchObject({
      calendar: { zone: 'America/Winnipeg' },
      signed: true,
      bidirectional: false,
      registers: new Map([
        ['day', 1],
        ['fed-in', -1],
      ]),
    });
    const elsewhere = { counter_restarts: 'at-midnight', clock_zone: 'Asia/Kathmandu' };
    expect(meterSpec('left', plugConfig.parse(elsewhere), device, 'UTC').calendar?.zone).toBe(
      'Asia/Kathmandu',
    );
    expect(plugConfig.parse({ bidirectional: true })).toMatchObject({ bidirectional: true });
    const told = { usual_interval_s: 60, max_gap_s: 90.5, counter_wraps_at_wh: 1e6 };
    expect(meterSpec('left', plugConfig.parse(told), device, 'UTC')).toMatchObject({
      usualInterval: 60_000,
      maxGap: 90_500,
      counterWrapsAt: 1_000_000,
    });
  });

  it.each([{ clock_zone: 'Atlantis/Capital' }, { clock_zone: '+02:00' }, { registers: {} }])(
    'refuses what no plug can be: %j',
    (wrong) => expect(plugConfig.safeParse(wrong).success).toBe(false),
  );
});
