import { CodedError, type Instant } from '../units/index.ts';
import type { Alert } from './alert.ts';
import { troubleKey, troubleKeyOf } from './alert-id.ts';
import type { News } from './gather.ts';
import { causesAmong, explain } from './inhibition.ts';
import type { AlertMemory, Trouble } from './memory.ts';
import { DEFAULT_POLICY, type Policy } from './policy.ts';
import { LONGEST_SNOOZE } from './story.ts';
import { isSilenced, lapse, lookBack } from './tending.ts';
import { type Advance, advance, awake, close, inhibit, type Look, type Step } from './trouble.ts';

export interface Judgment {
  /** The very same object when nothing is worth storing. */
  readonly memory: AlertMemory;
  /** Alerts whose rows are new or different. Rows begin when an alert opens. */
  readonly changed: readonly Alert[];
  /** What is worth telling, for `announce` to say to whom and when. */
  readonly news: readonly News[];
  /** Every move with its reason, for the log. */
  readonly steps: readonly Step[];
}

/**
 * Takes one round of looks and says what became of every alert. Pure and repeatable: memory that
 * has been through JSON gives the same judgment. Store memory, changed and the deliveries of
 * `announce` in one transaction: then a restart tells nothing twice and forgets nothing.
 *
 * unknown/quiet → pending (raised) → open (raised for the finding's hold) → acknowledged →
 * closed (quiet for the keep-open time) → quiet. See docs/alerts.md.
 */
export function judge(
  memory: AlertMemory,
  looks: readonly Look[],
  now: Instant,
  policy: Policy = DEFAULT_POLICY,
): Judgment {
  const current = lapse(memory, now);
  const ledger = openLedger(current);
  const causes = causesAmong(current, looks);
  for (const look of [...looks, ...lookBack(current, looks)]) {
    const key = troubleKey(look.watch, look.subject);
    const before = ledger.get(key);
    const { verdict } = look.finding;
    if (before === undefined && verdict !== 'raised') continue;
    const isTended = verdict === 'raised' && isSilenced(current, look, look.tank, now);
    const cause = explain(look, causes);
    const move =
      !isTended && verdict === 'raised' && cause !== undefined
        ? inhibit(before, look, cause.by, now, policy)
        : advance(before, look, isTended || cause?.blind ? 'unknown' : verdict, now, policy);
    ledger.put(key, before, move, look);
  }
  return ledger.judgment();
}

/**
 * The keeper has seen it. An alert already acknowledged stays as it is.
 * @throws CodedError AMP_ALERTS_NOT_OPEN when no open alert has that id.
 */
export function acknowledge(memory: AlertMemory, id: string, now: Instant): Judgment {
  const trouble = openTrouble(memory, id);
  const { alert } = trouble;
  const ledger = openLedger(memory);
  if (alert.state === 'open') {
    ledger.put(troubleKeyOf(id), trouble, {
      trouble: { ...awake(trouble), alert: { ...alert, state: 'acknowledged', acknowledged: now } },
      changed: true,
      tell: undefined,
      steps: [{ alert: id, from: 'open', to: 'acknowledged', why: 'acknowledged-by-keeper' }],
    });
  }
  return ledger.judgment();
}

/**
 * The keeper wants to hear of it again, but not before `until`. Takes an acknowledgment back; ended
 * by an acknowledgment, by becoming critical, by closing, or by itself.
 * @throws CodedError AMP_ALERTS_NOT_OPEN when no open alert has that id, AMP_ALERTS_SNOOZE when
 *   `until` is not within seven days from now.
 */
export function snooze(memory: AlertMemory, id: string, until: Instant, now: Instant): Judgment {
  const trouble = openTrouble(memory, id);
  if (!(until > now && until - now <= LONGEST_SNOOZE)) {
    throw new CodedError('AMP_ALERTS_SNOOZE', `'${id}' cannot be snoozed until then`, {
      remedy: 'let the snooze end later than now and within 7 days; or acknowledge the alert',
    });
  }
  const { alert } = trouble;
  const ledger = openLedger(memory);
  ledger.put(troubleKeyOf(id), trouble, {
    trouble: {
      ...trouble,
      snoozedUntil: until,
      alert: { ...alert, state: 'open', acknowledged: undefined },
    },
    changed: alert.state !== 'open',
    tell: undefined,
    steps: [{ alert: id, from: alert.state, to: 'open', why: 'snoozed-by-keeper' }],
  });
  return ledger.judgment();
}

function openTrouble(memory: AlertMemory, id: string): Trouble {
  const key = troubleKeyOf(id);
  const trouble = Object.hasOwn(memory.troubles, key) ? memory.troubles[key] : undefined;
  const isOpen = trouble?.alert.id === id && ['open', 'acknowledged'].includes(trouble.alert.state);
  if (trouble === undefined || !isOpen) {
    throw new CodedError('AMP_ALERTS_NOT_OPEN', `no open alert has the id '${id}'`, {
      remedy: 'it may be over by now: look at the list of open alerts',
    });
  }
  return trouble;
}

/** Ends what nobody looks at any more, such as the alerts of a tank taken out of the config. */
export function retire(
  memory: AlertMemory,
  isWatched: (alert: Alert) => boolean,
  now: Instant,
): Judgment {
  const ledger = openLedger(memory);
  for (const [key, trouble] of Object.entries(memory.troubles)) {
    const { alert } = trouble;
    if (isWatched(alert)) continue;
    const ended = close(trouble, now, 'subject-gone');
    const wasTold = alert.state === 'open' || alert.state === 'acknowledged';
    const steps = alert.state === 'closed' ? [] : ended.steps;
    ledger.put(
      key,
      trouble,
      wasTold
        ? { ...ended, forget: true }
        : { trouble: undefined, changed: false, tell: undefined, steps },
    );
  }
  return ledger.judgment();
}

interface Ledger {
  get(key: string): Trouble | undefined;
  put(
    key: string,
    before: Trouble | undefined,
    move: Advance & { readonly forget?: boolean },
    look?: Look,
  ): void;
  judgment(): Judgment;
}

/** Collects moves; copies memory only once something in it moves. */
function openLedger(memory: AlertMemory): Ledger {
  let troubles: Record<string, Trouble> | undefined;
  const changed: Alert[] = [];
  const news: News[] = [];
  const steps: Step[] = [];
  return {
    get: (key) => (troubles ?? memory.troubles)[key],
    put(key, before, move, look) {
      steps.push(...move.steps);
      const after = move.forget === true ? undefined : move.trouble;
      if (after !== before) {
        troubles ??= { ...memory.troubles };
        if (after === undefined) delete troubles[key];
        else troubles[key] = after;
      }
      if (move.trouble === undefined) return;
      const { alert } = move.trouble;
      if (move.changed) changed.push(alert);
      if (move.tell === undefined) return;
      const why = move.steps.at(-1)?.why ?? 'first-raised';
      news.push({ alert, change: move.tell, why, room: look?.room, tank: look?.tank });
    },
    judgment: () => ({
      memory: troubles === undefined ? memory : { ...memory, troubles },
      changed,
      news,
      steps,
    }),
  };
}
