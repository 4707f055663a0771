import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beginMeter, type MeterState, meter, readMeter } from '../../src/metering/index.ts';
import { pendingEnergy } from '../../src/metering/pending.ts';
import type { Reading } from '../../src/readings/index.ts';
import { DAY, HOUR, type Instant, MINUTE, SECOND } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { Ledger } from './ledger.ts';
import { reading } from './scenario.ts';
import { type Make, QUIRKS, type Quirk, type Register, simulatedMeter } from './simulated-meter.ts';

const isLong = runs().numRuns > 1_000;
const tries = (quick: number): { numRuns: number } => (isLong ? runs() : { numRuns: quick });

type Fate = 'arrives' | 'is lost' | 'comes twice' | 'comes late';

/** What may happen to a plug, to the line, to the clock and to the program. */
type Event =
  | { readonly is: 'wait'; readonly ms: number }
  | { readonly is: 'draw'; readonly watts: number }
  | { readonly is: 'report'; readonly fates: readonly Fate[]; readonly power: boolean }
  | { readonly is: 'sample' | 'kept' | 'gone' | 'restart' }
  | { readonly is: 'glitch'; readonly value: 'nothing' | 'a thousandfold' }
  | { readonly is: 'upset'; readonly kind: 'restart' | 'roll-back' | 'replacement' }
  | { readonly is: 'clock'; readonly by: number };

const fate = fc.oneof(
  { weight: 8, arbitrary: fc.constant('arrives' as const) },
  { weight: 1, arbitrary: fc.constantFrom('is lost', 'comes twice', 'comes late') },
);
const everyday = [
  {
    weight: 6,
    arbitrary: fc
      .oneof(
        { weight: 6, arbitrary: fc.integer({ min: 1, max: 60 * SECOND }) },
        { weight: 2, arbitrary: fc.integer({ min: MINUTE, max: 20 * MINUTE }) },
        { weight: 1, arbitrary: fc.integer({ min: 20 * MINUTE, max: 9 * HOUR }) },
      )
      .map((ms): Event => ({ is: 'wait', ms })),
  },
  {
    weight: 2,
    arbitrary: fc
      .oneof(fc.constantFrom(0, 0.4, 5), fc.double({ min: 0, max: 2000, noNaN: true }))
      .map((watts): Event => ({ is: 'draw', watts })),
  },
  {
    weight: 8,
    arbitrary: fc
      .record({ fates: fc.array(fate, { minLength: 3, maxLength: 3 }), power: fc.boolean() })
      .map((report): Event => ({ is: 'report', ...report })),
  },
  {
    weight: 2,
    arbitrary: fc
      .constantFrom('sample' as const, 'kept' as const, 'gone' as const, 'restart' as const)
      .map((is): Event => ({ is })),
  },
];
const glitch = {
  weight: 1,
  arbitrary: fc
    .constantFrom('nothing' as const, 'a thousandfold' as const)
    .map((value): Event => ({ is: 'glitch', value })),
};
const upset = {
  weight: 1,
  arbitrary: fc
    .constantFrom('restart' as const, 'roll-back' as const, 'replacement' as const)
    .map((kind): Event => ({ is: 'upset', kind })),
};
const clock = {
  weight: 1,
  arbitrary: fc
    .oneof(
      fc.integer({ min: -3 * HOUR, max: 3 * HOUR }),
      fc.integer({ min: -40 * DAY, max: 60 * DAY }),
      fc.constantFrom(200 * DAY, -900 * DAY),
    )
    .map((by): Event => ({ is: 'clock', by })),
};
const make = fc.record({
  quirk: fc.constantFrom(...QUIRKS),
  step: fc.constantFrom(0.001, 0.1, 1, 10, 100),
  zone: fc.constantFrom('America/Winnipeg', 'Australia/Lord_Howe', 'Asia/Kathmandu', 'Etc/UTC'),
  reporting: fc.constantFrom('on-change' as const, 'interval' as const),
});
const history = (...more: { weight: number; arbitrary: fc.Arbitrary<Event> }[]) =>
  fc.array(fc.oneof(...everyday, ...more), { minLength: 10, maxLength: 80 });

const REPORT: Event = { is: 'report', fates: ['arrives', 'arrives', 'arrives'], power: true };
const begin: readonly Event[] = [REPORT];
const end: readonly Event[] = [
  { is: 'draw', watts: 2000 },
  { is: 'wait', ms: 30 * MINUTE },
  REPORT,
];

interface Life {
  readonly ledger: Ledger;
  readonly state: MeterState;
  /** What must be booked as counted, mWh. */
  readonly counted: number;
  /** How long it lived by its own time, ms. */
  readonly lived: number;
  /** Steps and glitches of a counter that a limit may have to let pass, Wh. */
  readonly slack: number;
}

function live(events: readonly Event[], made: Make, withPower = true): Life {
  const plug = simulatedMeter(made);
  const ledger = new Ledger();
  const began = plug.now();
  let state = beginMeter();
  let ahead = 0;
  let sent: Reading[] = [];

  const take = (next: Reading): void => {
    const step = meter(plug.spec, state, next);
    state = step.state;
    ledger.post(step.postings);
  };
  const own = (measure: 'power' | 'counter', value: number, id?: string): Reading =>
    reading(measure, value, plug.now() + ahead, id === undefined ? {} : { register: id });
  const sample = (): void => {
    if (withPower) take(own('power', plug.load()));
  };
  const send = (each: Register, fate: Fate): void => {
    if (fate === 'is lost' || plug.isAroundMidnight()) return;
    const next = own('counter', plug.shown(each), each.id);
    if (fate === 'comes late') {
      // Overtaken by what was sent after it: no other reading is missed for it.
      sent.push({ ...next, at: (next.at - 1) as Instant });
      return;
    }
    take(next);
    if (fate === 'comes twice') take(next);
    plug.believed(each);
  };
  const report = (fates: readonly Fate[] = [], power = true): void => {
    if (power) sample();
    plug.registers.forEach((each, i) => {
      send(each, fates[i] ?? 'arrives');
    });
    if (fates.includes('comes late') || plug.isAroundMidnight()) return;
    for (const late of sent.slice(0, 2)) {
      const register = plug.registers.find(({ id }) => id === late.register);
      if (register?.last !== undefined) take({ ...late, arrived: own('power', 0).at });
    }
    sent = [];
  };
  /** Twice, so that nothing is under suspicion; not near midnight, where nothing is sent. */
  const settleDown = (): void => {
    plug.wait(2 * SECOND);
    while (plug.isAroundMidnight()) plug.wait(MINUTE);
    report();
    plug.wait(2 * SECOND);
    report();
  };

  for (const event of [...begin, ...events, ...end]) {
    if (event.is === 'wait') plug.wait(event.ms);
    else if (event.is === 'draw') {
      // Samples tell the truth: the counter is to be what is put to the test.
      sample();
      plug.draw(event.watts);
      sample();
    } else if (event.is === 'report') report(event.fates, event.power);
    else if (event.is === 'sample') sample();
    else if (event.is === 'gone') take({ ...own('power', 0), measure: 'presence' });
    else if (event.is === 'restart') state = readMeter(JSON.parse(JSON.stringify(state)));
    else if (event.is === 'kept') {
      for (const { last, id } of plug.registers) {
        if (last !== undefined) take({ ...own('counter', last + 7, id), retained: true });
      }
    } else if (event.is === 'glitch') {
      settleDown();
      const [each] = plug.registers;
      if (each === undefined || plug.shown(each) < 2 * made.step + 50) continue;
      plug.wait(SECOND);
      const value = event.value === 'nothing' ? 0 : plug.shown(each) * 1000 + 1e6;
      take(own('counter', value, each.id));
      settleDown();
    } else if (event.is === 'upset') {
      settleDown();
      plug.wait(SECOND);
      plug.upset(event.kind);
      settleDown();
    } else if (event.is === 'clock') {
      settleDown();
      ahead += event.by;
      for (let minute = 0; minute < 35; minute++) {
        plug.wait(MINUTE);
        report();
      }
    }
  }
  settleDown();
  return {
    ledger,
    state,
    counted: plug.registers.reduce((sum, { sign, booked }) => sum + sign * booked, 0),
    lived: plug.now() - began,
    slack: plug.registers.length * 100 * events.length,
  };
}

const estimates = ['integrated', 'bridged'] as const;
const ALL = ['counted', ...estimates] as const;
const signed = (quirk: Quirk): { signed: boolean } => ({
  signed: quirk === 'counts both ways' || quirk === 'has several registers',
});

describe('whatever a plug does to its counters', () => {
  it('what is counted is what the true load says of its believed readings, to the mWh', () => {
    fc.assert(
      fc.property(history(glitch, upset), make, fc.boolean(), (events, made, withPower) => {
        const { ledger, counted, lived, slack } = live(events, made, withPower);
        expect(ledger.faults(signed(made.quirk))).toEqual([]);
        expect(ledger.total(['counted']).energy).toBe(counted);
        const most = 1.2 * 3680 * (lived / HOUR) + slack;
        expect(Math.abs(counted)).toBeLessThanOrEqual(most * 1000);
      }),
      tries(400),
    );
  });

  it('all that is booked is what it counted, and what is still to be settled', () => {
    const calm = make.filter(({ quirk }) => !quirk.startsWith('restarts'));
    fc.assert(
      fc.property(history(glitch), calm, (events, made) => {
        const { ledger, state, counted } = live(events, made);
        const open = state.kept + pendingEnergy(state) + (state.standing ?? 0);
        expect(ledger.total(ALL).energy).toBe(counted + open);
        expect(ledger.total(estimates).energy).toBe(open);
      }),
      tries(400),
    );
  });

  it('is lost over no clock that is set, forth or back, and booked twice over none', () => {
    const steady = make.filter(({ quirk }) => !quirk.startsWith('restarts'));
    fc.assert(
      fc.property(history(clock, glitch), steady, fc.boolean(), (events, made, withPower) => {
        const { ledger, state, counted } = live(events, made, withPower);
        const faults = ledger.faults(signed(made.quirk));
        // A clock that is set back shows the same quarter of an hour twice.
        expect(faults.filter((fault) => !fault.endsWith('ms covered'))).toEqual([]);
        const open = state.kept + pendingEnergy(state) + (state.standing ?? 0);
        expect(ledger.total(ALL).energy).toBe(counted + open);
        if (!withPower) expect(ledger.total(['counted']).energy).toBe(counted);
      }),
      tries(200),
    );
  });
});
