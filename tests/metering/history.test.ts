import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beginMeter, type MeterSpec, type MeterState, meter } from '../../src/metering/index.ts';
import type { Reading } from '../../src/readings/index.ts';
import { Calendar, HOUR, MINUTE, millis, SECOND, wattHours } from '../../src/units/index.ts';
import { Ledger } from './ledger.ts';
import { reading, spec } from './scenario.ts';

const { AMPULLA_LONG } = process.env;
const RUNS = AMPULLA_LONG ? 10_000 : 1_000;

/** What may happen to a plug, and to the program that listens to it. */
type Event =
  | { readonly is: 'wait'; readonly ms: number }
  | { readonly is: 'draw'; readonly watts: number }
  | { readonly is: 'power' | 'counter' | 'both' | 'again' | 'late' | 'low' | 'high' }
  | { readonly is: 'reset' | 'gone' | 'restart' | 'commit' | 'crash' };

const wait = fc
  .oneof(
    { weight: 6, arbitrary: fc.integer({ min: 1, max: 60 * SECOND }) },
    { weight: 2, arbitrary: fc.integer({ min: MINUTE, max: 20 * MINUTE }) },
    { weight: 1, arbitrary: fc.integer({ min: 20 * MINUTE, max: 3 * HOUR }) },
    { weight: 1, arbitrary: fc.constantFrom(0, 15 * MINUTE, HOUR) },
  )
  .map((ms) => ({ is: 'wait' as const, ms }));
const draw = fc
  .oneof(fc.constantFrom(0, 0.4, 5, 100), fc.double({ min: 0, max: 2000, noNaN: true }))
  .map((w): Event => ({ is: 'draw', watts: w }));
const plain = (...are: Exclude<Event['is'], 'wait' | 'draw'>[]) =>
  fc.constantFrom(...are).map((is): Event => ({ is }));

const history = fc.array(
  fc.oneof(
    { weight: 8, arbitrary: wait },
    { weight: 3, arbitrary: draw },
    { weight: 8, arbitrary: plain('power', 'counter', 'both') },
    { weight: 3, arbitrary: plain('again', 'late', 'low', 'high', 'reset', 'gone') },
    { weight: 2, arbitrary: plain('restart', 'commit', 'crash') },
  ),
  { minLength: 10, maxLength: 120 },
);
const resolution = fc.constantFrom(0.001, 1 / 3600, 0.1, 1, 10, 100);
const how = fc.record({
  reporting: fc.constantFrom('on-change' as const, 'interval' as const),
  bridge: fc.constantFrom('mean-duty' as const, 'last-power' as const),
  maxGap: fc.constantFrom(undefined, millis(MINUTE), millis(HOUR)),
});

/** A device with a plug on it that knows no faults but its counter's step. */
function device(step: number) {
  let wh = 0;
  let load = 0;
  let now = Date.UTC(2025, 0, 1, 11, 58, 20);
  return {
    wait: (ms: number) => {
      wh += (load * ms) / HOUR;
      now += ms;
    },
    draw: (w: number) => {
      load = w;
    },
    reset: () => {
      wh = 0;
    },
    now: () => now,
    load: () => load,
    counter: () => Math.floor(wh / step + 1e-9) * step,
  };
}

/** What the books should say of a counter: kept beside the meter, from believed values alone. */
interface Truth {
  counted: number;
  last: number | undefined;
  readonly ledger: Ledger;
  state: MeterState;
}
const copy = (truth: Truth): Truth => ({
  ...truth,
  ledger: new Ledger(truth.ledger),
  state: JSON.parse(JSON.stringify(truth.state)),
});
const mwh = (wh: number): number => Math.round(wh * 1000);

const begin: readonly Event[] = [{ is: 'both' }, { is: 'commit' }];
const end: readonly Event[] = [
  { is: 'draw', watts: 2000 },
  { is: 'wait', ms: 12 * MINUTE },
  { is: 'both' },
];
const nothing = { energy: 0, spread: 0, covered: 0, drawing: 0 };
const onlyCounter = (measure: 'power' | 'counter'): boolean => measure === 'counter';
const steady = spec({ bridge: 'last-power', maxGap: millis(10 * MINUTE) });

function live(
  events: readonly Event[],
  step: number,
  meterSpec: MeterSpec,
  has: (measure: 'power' | 'counter') => boolean,
): { truth: Truth; start: number } {
  const plug = device(step);
  const start = plug.now();
  let truth: Truth = { counted: 0, last: undefined, ledger: new Ledger(), state: beginMeter() };
  let committed = copy(truth);
  let sent: Reading | undefined;
  let lates = 0;
  let isSuspect = false;

  const take = (next: Reading): void => {
    const result = meter(meterSpec, truth.state, next);
    truth.state = result.state;
    truth.ledger.post(result.postings);
  };
  const send = (measure: 'power' | 'counter'): void => {
    if (!has(measure)) return;
    sent = reading(measure, measure === 'power' ? plug.load() : plug.counter(), plug.now());
    take(sent);
    lates = 0;
    if (measure === 'power') return;
    if (truth.last !== undefined) truth.counted += mwh(sent.value) - mwh(truth.last);
    truth.last = sent.value;
    isSuspect = false;
  };
  const glitch = (value: number): void => {
    if (!has('counter') || truth.last === undefined || isSuspect) return;
    plug.wait(SECOND);
    take(reading('counter', value, plug.now()));
    isSuspect = true;
  };

  for (const event of events) {
    if (event.is === 'wait') plug.wait(event.ms);
    else if (event.is === 'draw') plug.draw(event.watts);
    else if (event.is === 'power' || event.is === 'counter') send(event.is);
    else if (event.is === 'both') {
      send('power');
      send('counter');
    } else if (event.is === 'again') {
      if (sent !== undefined) take(sent);
    } else if (event.is === 'late') {
      if (sent !== undefined && lates++ < 2) {
        take({ ...sent, at: (sent.at - 7777) as Reading['at'], value: sent.value + 1 });
      }
    } else if (event.is === 'low') {
      if ((truth.last ?? 0) > 0) glitch(0);
    } else if (event.is === 'high') glitch(plug.counter() * 1000 + 1e6);
    else if (event.is === 'gone') take(reading('presence', 0, plug.now()));
    else if (event.is === 'restart') truth.state = JSON.parse(JSON.stringify(truth.state));
    else if (event.is === 'commit') committed = copy(truth);
    else if (event.is === 'crash') {
      truth = copy(committed);
      sent = undefined;
      isSuspect = truth.state.suspect !== null;
    } else if (event.is === 'reset' && has('counter') && truth.last !== undefined && !isSuspect) {
      // A restarted counter that is soon where it was looks like a glitch, and rightly so.
      if (plug.counter() < 1) continue;
      plug.wait(SECOND);
      send('counter');
      plug.reset();
      plug.wait(SECOND);
      plug.reset();
      take(reading('counter', 0, plug.now()));
      truth.last = 0;
      plug.wait(SECOND);
      send('counter');
      committed = copy(truth);
    }
    if (event.is === 'commit') expect(truth.ledger.faults()).toEqual([]);
  }
  return { truth, start };
}

describe('whatever happens to a plug, to the line and to the program', () => {
  it('what is counted is what its counter says, to the mWh, with samples beside it', () => {
    fc.assert(
      fc.property(history, resolution, how, (events, step, changes) => {
        const { truth } = live(events, step, spec(changes), () => true);
        expect(truth.ledger.faults()).toEqual([]);
        expect(truth.ledger.total(['counted']).energy).toBe(truth.counted);
      }),
      { numRuns: RUNS },
    );
  });

  it('a step of the counter leaves nothing estimated, and no time uncovered', () => {
    fc.assert(
      fc.property(history, resolution, how, (events, step, changes) => {
        const calm = events.filter(({ is }) => is !== 'reset');
        const { truth, start } = live([...begin, ...calm, ...end], step, spec(changes), () => true);
        expect(truth.ledger.faults()).toEqual([]);
        expect(truth.ledger.total(['integrated', 'bridged'])).toEqual(nothing);
        expect(truth.ledger.total(['counted'])).toMatchObject({
          energy: truth.counted,
          covered: (truth.state.until ?? 0) - start,
        });
        expect(truth.counted).toBeGreaterThan(0);
      }),
      { numRuns: RUNS },
    );
  });

  it('a counter alone covers all time between its first reading and its last', () => {
    fc.assert(
      fc.property(history, resolution, (events, step) => {
        const calm = events.filter(({ is }) => !['reset', 'low', 'high'].includes(is));
        const { truth, start } = live([...begin, ...calm], step, spec(), onlyCounter);
        expect(truth.ledger.faults()).toEqual([]);
        expect(truth.ledger.total(['counted'])).toMatchObject({
          energy: truth.counted,
          covered: (truth.state.counter?.at ?? 0) - start,
        });
        expect(truth.ledger.total(['integrated', 'bridged'])).toEqual(nothing);
      }),
      { numRuns: RUNS },
    );
  });

  it('samples alone are integrated as a plain sum over their history is', () => {
    const samples = fc.array(fc.tuple(wait, fc.double({ min: 0, max: 3000, noNaN: true })), {
      maxLength: 200,
    });
    fc.assert(
      fc.property(samples, (history) => {
        const ledger = new Ledger();
        let state = beginMeter();
        let at = Date.UTC(2025, 0, 1);
        let last: { at: number; watts: number } | undefined;
        let held = 0;
        let bridged = 0;
        for (const [pause, watts] of history) {
          at += pause.ms;
          const before = last ?? { at, watts };
          const span = at - before.at;
          if (span <= 10 * MINUTE) held += (before.watts * span) / 3600;
          else bridged += (before.watts * Math.min(span, HOUR)) / 3600;
          last = { at, watts };
          const step = meter(steady, state, reading('power', watts, at));
          state = step.state;
          ledger.post(step.postings);
        }
        expect(ledger.faults()).toEqual([]);
        expect(Math.abs(ledger.total(['integrated']).energy - held)).toBeLessThan(1);
        expect(Math.abs(ledger.total(['bridged']).energy - bridged)).toBeLessThanOrEqual(
          history.length,
        );
      }),
      { numRuns: RUNS },
    );
  });

  it('nonsense neither throws nor leaves anything but whole numbers, and energy of 0 or more', () => {
    const kinds = fc.constantFrom<Partial<MeterSpec>>(
      {},
      { counterRestarts: 'at-midnight', calendar: new Calendar('America/Winnipeg') },
      { counterWrapsAt: wattHours(100) },
      {
        registers: new Map([
          ['a', 1],
          ['b', 1],
        ]),
      },
      {
        registers: new Map([
          ['a', 1],
          ['b', -1],
        ]),
        signed: true,
      },
      { bidirectional: true, signed: true },
    );
    const time = fc.oneof(
      fc.integer({ min: Date.UTC(2025, 0, 1), max: Date.UTC(2025, 0, 3) }),
      fc.double(),
    );
    const nonsense = fc.record({
      from: fc.constantFrom('plug' as const, 'probe' as const),
      id: fc.constant('plug-under-test'),
      measure: fc.constantFrom('power' as const, 'counter' as const, 'presence' as const),
      value: fc.oneof(fc.double(), fc.integer({ min: -2, max: 200 })),
      at: time,
      arrived: time,
      retained: fc.boolean(),
      register: fc.constantFrom('a', 'b'),
    });
    fc.assert(
      fc.property(fc.array(nonsense, { maxLength: 60 }), how, kinds, (readings, changes, kind) => {
        const ledger = new Ledger();
        const plug = spec({ ...changes, ...kind });
        let state = beginMeter();
        for (const { register, ...rest } of readings) {
          const next = (plug.registers === undefined ? rest : { ...rest, register }) as Reading;
          const step = meter(plug, state, next);
          const again = meter(plug, JSON.parse(JSON.stringify(state)), next);
          expect(again).toEqual(step);
          state = step.state;
          ledger.post(step.postings);
        }
        // A clock that jumps back may cover a slot twice; nothing else may go wrong.
        const faults = ledger.faults(plug);
        expect(faults.filter((fault) => !fault.endsWith('ms covered'))).toEqual([]);
      }),
      { numRuns: RUNS },
    );
  });
});
