import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DEFAULT_POLICY, type Judgment } from '../../src/alerts/index.ts';
import { DAY, MINUTE, type Millis, SECOND } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { type Mark, marksOf, minutes, NIGHT, play } from './looks.ts';

/** Stretches of one verdict, so that holds are passed often enough, with single marks between. */
const history = fc
  .array(
    fc.tuple(
      fc.constantFrom<Mark>('r', 'c', 'q', '?', '-'),
      fc.oneof(
        { weight: 3, arbitrary: fc.integer({ min: 1, max: 4 }) },
        { weight: 3, arbitrary: fc.integer({ min: 5, max: 15 }) },
        { weight: 1, arbitrary: fc.integer({ min: 50, max: 140 }) },
      ),
    ),
    { minLength: 1, maxLength: 20 },
  )
  .map((stretches) => stretches.flatMap(([mark, count]) => Array<Mark>(count).fill(mark)));

const hold = fc.constantFrom(minutes(0), minutes(1), minutes(10), minutes(60));

const changesOf = (rounds: readonly Judgment[]) =>
  rounds.flatMap(({ news }) => news.map(({ alert, change }) => ({ alert, change })));

const check = <T>(property: fc.IProperty<T>): void => fc.assert(property, runs(300));

describe('any history of findings', () => {
  it('tells the same with restarts after any rounds as without', () => {
    const property = fc.property(
      history,
      hold,
      fc.infiniteStream(fc.boolean()),
      (marks, h, coin) => {
        const plain = play(marks, { hold: h });
        const restarted = play(marks, { hold: h, restartAfter: () => coin.next().value === true });
        expect(restarted.told).toEqual(plain.told);
        expect(restarted.memory).toEqual(plain.memory);
        expect(restarted.rounds.map(({ changed }) => changed)).toEqual(
          plain.rounds.map(({ changed }) => changed),
        );
      },
    );
    check(property);
  });

  it('tells each change of an alert at most once, opened first and closed last', () => {
    const property = fc.property(history, hold, (marks, h) => {
      const stories = new Map<string, string[]>();
      for (const { alert, change } of changesOf(play(marks, { hold: h }).rounds)) {
        stories.set(alert.id, [...(stories.get(alert.id) ?? []), change]);
      }
      for (const story of stories.values()) {
        expect(['opened', 'opened worsened', 'opened closed', 'opened worsened closed']).toContain(
          story.join(' '),
        );
      }
    });
    check(property);
  });

  it('opens only after the hold, with no quiet look since it was first raised', () => {
    const property = fc.property(history, hold, (marks, h) => {
      for (const { alert, change } of changesOf(play(marks, { hold: h }).rounds)) {
        if (change !== 'opened') continue;
        const opened = alert.opened ?? Number.NaN;
        expect(opened - alert.since).toBeGreaterThanOrEqual(h);
        const first = (alert.since - NIGHT) / MINUTE;
        const last = (opened - NIGHT) / MINUTE;
        expect(marks.slice(first, last + 1)).not.toContain('q');
        expect(['r', 'c']).toContain(marks[last]);
      }
    });
    check(property);
  });

  it('closes only after enough quiet, with nothing raised in that time', () => {
    const property = fc.property(history, hold, (marks, h) => {
      for (const { alert, change } of changesOf(play(marks, { hold: h }).rounds)) {
        if (change !== 'closed') continue;
        const last = ((alert.closed ?? Number.NaN) - NIGHT) / MINUTE;
        const patience = DEFAULT_POLICY.keepOpen / MINUTE;
        const calm = marks.slice(last - patience, last + 1);
        expect(calm).toHaveLength(patience + 1);
        expect(calm.filter((mark) => mark === 'r' || mark === 'c')).toEqual([]);
      }
    });
    check(property);
  });

  it('stores every open alert’s row no later than it tells of it', () => {
    const property = fc.property(history, hold, (marks, h) => {
      for (const { news, changed } of play(marks, { hold: h }).rounds) {
        for (const { alert } of news) expect(changed).toContainEqual(alert);
      }
    });
    check(property);
  });

  it('gives every move a reason and never skips a state', () => {
    const property = fc.property(history, hold, (marks, h) => {
      let state = 'quiet';
      for (const step of play(marks, { hold: h }).rounds.flatMap(({ steps }) => steps)) {
        expect(step.from).toBe(state === 'closed' ? 'quiet' : state);
        expect(step.why).toMatch(/^[a-z-]+$/);
        state = step.to;
      }
    });
    check(property);
  });
});

describe('noise at the threshold, a look every ten seconds for 24 hours', () => {
  const every = (10 * SECOND) as Millis;
  const looks = DAY / every;

  it('opens once and closes once', () => {
    const noise = fc.array(fc.boolean(), { minLength: looks, maxLength: looks });
    const property = fc.property(noise, (coins) => {
      const marks = [...marksOf('61r'), ...coins.map((up): Mark => (up ? 'r' : 'q'))];
      const quiet = marksOf('61q');
      const changes = changesOf(play([...marks, ...quiet], { every }).rounds);
      expect(changes.map(({ change }) => change)).toEqual(['opened', 'closed']);
    });
    fc.assert(property, { numRuns: 5 });
  });
});
