import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Look, liveAlerts, type Recipient, type Telling } from '../../src/alerts/index.ts';
import type { Severity, Subject, WatchName } from '../../src/watches/index.ts';
import { runs } from '../units/runs.ts';
import { finding, look, minutes } from './looks.ts';
import { PHONE, postRoom, rulesOf } from './post-room.ts';

const SPARE: Recipient = { name: 'spare', takes: 'messages', after: minutes(20) };
const BELL: Recipient = { name: 'bell', takes: 'messages', severities: ['critical'] };
const RECIPIENTS = [PHONE, SPARE, BELL];

/** Two tanks in one room; what each watch says is drawn at random. */
const SUBJECTS: readonly [WatchName, Subject, string][] = [
  ['heater-stuck-on', { kind: 'device', id: 'h1' }, 'one'],
  ['heater-not-heating', { kind: 'device', id: 'h1' }, 'one'],
  ['tank-too-warm', { kind: 'tank', id: 'one' }, 'one'],
  ['tank-too-cold', { kind: 'tank', id: 'two' }, 'two'],
  ['plug-silent', { kind: 'plug', id: 'p2' }, 'two'],
  ['probe-silent', { kind: 'probe', id: 'q1' }, 'one'],
];
const HOT: ReadonlySet<string> = new Set(['heater-stuck-on', 'tank-too-warm']);

type Act =
  | { do: 'say'; subject: number; mark: 'r' | 'c' | 'q' | '?' }
  | { do: 'wait'; minutes: number }
  | { do: 'acknowledge' | 'snooze'; nth: number; minutes: number }
  | { do: 'tend'; tank: 'one' | 'two'; minutes: number }
  | { do: 'done'; tank: 'one' | 'two' };

const act: fc.Arbitrary<Act> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({
      do: fc.constant('say' as const),
      subject: fc.nat(SUBJECTS.length - 1),
      mark: fc.constantFrom('r', 'c', 'q', '?'),
    }),
  },
  {
    weight: 6,
    arbitrary: fc.record({
      do: fc.constant('wait' as const),
      minutes: fc.oneof(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 21, max: 200 })),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      do: fc.constantFrom('acknowledge', 'snooze'),
      nth: fc.nat(5),
      minutes: fc.integer({ min: 1, max: 120 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      do: fc.constant('tend' as const),
      tank: fc.constantFrom('one', 'two'),
      minutes: fc.integer({ min: 1, max: 90 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ do: fc.constant('done' as const), tank: fc.constantFrom('one', 'two') }),
  },
);
const history = fc.array(act, { minLength: 5, maxLength: 40 });
const clocks = fc.record({
  quiet_hours: fc.constantFrom(
    undefined,
    { from: '22:00', to: '07:00' },
    { from: '04:00', to: '05:00' },
  ),
  gather_s: fc.constantFrom(0, 60, 180),
  repeat_min: fc.constantFrom(5, 15),
});

type Room = ReturnType<typeof postRoom>;

/** Plays a history, a look a minute while time passes (each fifth in long waits). */
function run(
  acts: readonly Act[],
  clock: Parameters<typeof rulesOf>[0],
  restarts?: () => boolean,
): Room {
  const room = postRoom({
    recipients: RECIPIENTS,
    rules: rulesOf(clock),
    ...(restarts && { restarts }),
  });
  const marks: string[] = SUBJECTS.map(() => 'q');
  let minute = 0;
  const lookNow = (): void => {
    room.look(minute, ...SUBJECTS.map((_, index) => lookOf(index, marks[index] ?? 'q')));
  };
  for (const step of acts) {
    if (step.do === 'say') marks[step.subject] = step.mark;
    if (step.do === 'tend') room.tend(minute, step.tank, minute + step.minutes);
    if (step.do === 'done') room.done(minute, step.tank);
    if (step.do === 'acknowledge' || step.do === 'snooze') {
      const open = liveAlerts(room.memory).filter(({ state }) => state !== 'pending');
      const chosen = open[step.nth % Math.max(1, open.length)];
      if (chosen === undefined) continue;
      if (step.do === 'acknowledge') room.acknowledge(minute, chosen.id);
      else room.snooze(minute, chosen.id, minute + step.minutes);
    }
    if (step.do !== 'wait') continue;
    const stride = step.minutes > 20 ? 5 : 1;
    for (let passed = 0; passed < step.minutes; passed += stride) {
      minute += stride;
      lookNow();
    }
  }
  return room;
}

function lookOf(index: number, mark: string): Look {
  const [watch, subject, tank] = SUBJECTS[index] as (typeof SUBJECTS)[number];
  const verdict = mark === 'q' ? 'quiet' : mark === '?' ? 'unknown' : 'raised';
  const severity: Severity = mark === 'c' ? 'critical' : 'warning';
  const hold = minutes(index % 2 === 0 ? 0 : 10);
  return look({ watch, subject, tank, room: 'den', finding: finding({ verdict, severity, hold }) });
}

/** What one channel was told of one alert, as words. */
function storyOf(tellings: Room['tellings'], name: string): Map<string, string[]> {
  const stories = new Map<string, string[]>();
  const add = (id: string, word: string): void => {
    stories.set(id, [...(stories.get(id) ?? []), word]);
  };
  for (const { telling } of tellings) {
    if (!telling.to?.includes(name)) continue;
    for (const alert of alertsOf(telling)) {
      if (telling.change !== 'summary') add(alert.id, telling.change);
      else add(alert.id, alert.state === 'closed' ? 'closed' : 'told');
    }
  }
  return stories;
}

function alertsOf({ alert, also, settled = [] }: Telling) {
  const counted = new Set(settled.map(({ id }) => id));
  return [alert, ...also].filter(({ id }) => !counted.has(id));
}

describe('any history of findings, acknowledgments, snoozes and tendings', () => {
  it('is told the same with restarts at any moment', () => {
    fc.assert(
      fc.property(history, clocks, fc.infiniteStream(fc.boolean()), (acts, clock, coin) => {
        const plain = run(acts, clock);
        const restarted = run(acts, clock, () => coin.next().value === true);
        expect(restarted.told).toEqual(plain.told);
        expect(restarted.decisions).toEqual(plain.decisions);
        expect(restarted.memory).toEqual(plain.memory);
      }),
      runs(60),
    );
  });

  it('makes no two messages of one change', () => {
    fc.assert(
      fc.property(history, clocks, (acts, clock) => {
        const { tellings } = run(acts, clock);
        for (const { name } of RECIPIENTS) {
          for (const words of storyOf(tellings, name).values()) {
            // An opening may come in a summary; so may a repetition.
            const text = words.join(' ');
            expect(text).toMatch(
              /^(opened|told)( repeated| told)*( worsened)?( repeated| told)*( closed)?$/,
            );
          }
        }
      }),
      runs(150),
    );
  });

  it('tells or counts everything that quiet hours held back, and never holds critical', () => {
    fc.assert(
      fc.property(history, clocks, (acts, clock) => {
        const room = run([...acts], clock);
        for (let minute = 100_000; minute < 100_000 + 1_440; minute += 60) room.look(minute);
        const open = new Map<string, number>();
        for (const { alert, to, did } of room.decisions) {
          const key = `${alert} ${to}`;
          if (did === 'held') expect(open.get(key) ?? 0).toBe(0);
          open.set(key, did === 'held' ? 1 : 0);
        }
        expect([...open.values()].filter((held) => held > 0)).toEqual([]);
        const held = new Set(
          room.decisions
            .filter(({ did }) => did === 'held')
            .map(({ alert, at }) => `${at} ${alert}`),
        );
        for (const { at: minute, telling } of room.tellings) {
          if (telling.alert.severity !== 'critical') continue;
          expect(held.has(`${minute} ${telling.alert.id}`)).toBe(false);
        }
      }),
      runs(100),
    );
  });

  it('opens what is too hot as if there were no tending', () => {
    fc.assert(
      fc.property(history, clocks, (acts, clock) => {
        const hotOnes = (room: Room): string[] =>
          room.tellings.flatMap(({ at: minute, telling }) =>
            alertsOf(telling)
              .filter(({ watch }) => HOT.has(watch))
              .map(({ id }) => `${minute} ${telling.change} ${id} ${telling.to}`),
          );
        // Without acknowledgments, which choose among what is open, and without repetitions, which
        // go out together with others.
        const heard = acts.filter(({ do: what }) => what !== 'acknowledge' && what !== 'snooze');
        const untended = heard.filter(({ do: what }) => what !== 'tend' && what !== 'done');
        const firsts = (lines: string[]) =>
          lines.filter((line) => !/repeated|summary/.test(line)).sort();
        expect(firsts(hotOnes(run(heard, clock)))).toEqual(firsts(hotOnes(run(untended, clock))));
      }),
      runs(100),
    );
  });

  it('repeats to a channel at most once a span', () => {
    fc.assert(
      fc.property(history, clocks, (acts, clock) => {
        const { tellings } = run(acts, clock);
        for (const { name } of RECIPIENTS) {
          const times = tellings
            .filter(({ telling }) => telling.change === 'repeated' && telling.to?.includes(name))
            .map(({ at: minute }) => minute);
          times.slice(1).forEach((minute, index) => {
            expect(minute - (times[index] ?? 0)).toBeGreaterThanOrEqual(clock.repeat_min);
          });
        }
      }),
      runs(100),
    );
  });
});
