import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { liveAlerts } from '../../src/alerts/index.ts';
import { runs } from '../units/runs.ts';
import { finding, look, minutes } from './looks.ts';
import { postRoom } from './post-room.ts';

/** One thing that happens before the look of a minute. */
type Act = 'acknowledge' | 'done' | { snooze: number } | { tend: number } | undefined;
type Mark = 'r' | 'c' | 'q' | '?';
interface Minute {
  readonly mark: Mark;
  readonly act: Act;
}

/**
 * What one keeper with one phone is told of one cold tank, written as a plain walk through the
 * minutes: no hold, ten minutes to close (twice as long after each relapse), repeats each quarter
 * of an hour. It shares nothing with the code but these numbers.
 */
function expected(history: readonly Minute[]): string[] {
  const told: string[] = [];
  let open = false;
  let critical = false;
  let seen = false;
  let snoozed: number | undefined;
  let calm: number | undefined;
  let lastTold = 0;
  let lastRepeat = Number.NEGATIVE_INFINITY;
  let closedAt = Number.NEGATIVE_INFINITY;
  let relapses = 0;
  let tendedUntil = Number.NEGATIVE_INFINITY;
  let wasCalm = false;
  history.forEach(({ mark, act }, minute) => {
    if (act === 'acknowledge' && open) {
      seen = true;
      snoozed = undefined;
    } else if (act === 'done') {
      tendedUntil = minute;
    } else if (typeof act === 'object' && 'tend' in act) {
      tendedUntil = minute + act.tend;
    } else if (typeof act === 'object' && 'snooze' in act && open) {
      snoozed = minute + act.snooze;
      seen = false;
    }
    const tended = minute < tendedUntil;
    const raised = (mark === 'r' || mark === 'c') && !tended;
    const calmNow = mark === 'q';
    if (!open && raised) {
      open = true;
      seen = false;
      snoozed = undefined;
      calm = undefined;
      relapses = minute - closedAt <= 120 ? relapses + 1 : 0;
      critical = mark === 'c';
      lastTold = minute;
      told.push(`${minute} opened`);
    } else if (open && raised) {
      calm = undefined;
      if (mark === 'c' && !critical) {
        critical = true;
        seen = false;
        snoozed = undefined;
        lastTold = minute;
        told.push(`${minute} worsened`);
      }
    } else if (open) {
      // A minute that began in sight and calm counts, however it ended.
      if (calm !== undefined && wasCalm) calm += 1;
      if (calmNow) {
        calm ??= 0;
        if (calm >= Math.min(10 * 2 ** relapses, 240)) {
          open = false;
          closedAt = minute;
          told.push(`${minute} closed`);
        }
      }
    }
    wasCalm = calmNow;
    if (!open || tended || seen || calm !== undefined) return;
    if (snoozed !== undefined && minute < snoozed) return;
    const reminds = snoozed !== undefined && lastTold < snoozed;
    const again = reminds || (critical && minute - lastTold >= 15);
    if (!again || minute - lastRepeat < 15) return;
    lastTold = minute;
    lastRepeat = minute;
    told.push(`${minute} repeated`);
  });
  return told;
}

function actual(history: readonly Minute[], restarts: () => boolean): string[] {
  const room = postRoom({ restarts });
  const openId = (): string | undefined =>
    liveAlerts(room.memory).find(({ state }) => state !== 'pending')?.id;
  history.forEach(({ mark, act }, minute) => {
    const id = openId();
    if (act === 'acknowledge' && id !== undefined) room.acknowledge(minute - 1, id);
    else if (act === 'done') room.done(minute, 'discus');
    else if (typeof act === 'object' && 'tend' in act) {
      room.tend(minute, 'discus', minute + act.tend);
    } else if (typeof act === 'object' && id !== undefined) {
      room.snooze(minute - 1, id, minute + act.snooze);
    }
    const verdict = mark === 'q' ? 'quiet' : mark === '?' ? 'unknown' : 'raised';
    const severity = mark === 'c' ? 'critical' : 'warning';
    room.look(
      minute,
      look({
        watch: 'tank-too-cold',
        subject: { kind: 'tank', id: 'discus' },
        tank: 'discus',
        finding: finding({ verdict, severity, hold: minutes(0) }),
      }),
    );
  });
  return room.tellings.map(({ at, telling }) => `${at} ${telling.change}`);
}

const span = fc.integer({ min: 1, max: 90 });
const act = fc.oneof(
  fc.constantFrom<Act>('acknowledge', 'done'),
  span.map((snooze): Act => ({ snooze })),
  span.map((tend): Act => ({ tend })),
);
/** Stretches of one verdict, each with at most one act at its beginning. */
const history = fc
  .array(
    fc.record({
      mark: fc.constantFrom<Mark>('r', 'r', 'c', 'c', 'q', '?'),
      length: fc.oneof(fc.integer({ min: 1, max: 14 }), fc.integer({ min: 15, max: 70 })),
      act: fc.option(act, { nil: undefined }),
    }),
    { minLength: 2, maxLength: 15 },
  )
  .map((stretches) =>
    stretches.flatMap(({ mark, length, act: first }) =>
      Array.from({ length }, (_, index) => ({ mark, act: index === 0 ? first : undefined })),
    ),
  );

describe('a plain model of one keeper, one phone and one tank', () => {
  it('is told the same at the same minutes, whatever is done and however often it restarts', () => {
    fc.assert(
      fc.property(history, fc.infiniteStream(fc.boolean()), (minutesOf, coin) => {
        expect(actual(minutesOf, () => coin.next().value === true)).toEqual(expected(minutesOf));
      }),
      runs(150),
    );
  });
});
