import { CodedError, type Instant } from '../units/index.ts';
import type { Finding } from '../watches/index.ts';
import type { Alert } from './alert.ts';
import { troubleKey, troubleKeyOf } from './alert-id.ts';
import { gather, type News, type Telling } from './gather.ts';
import type { AlertMemory, Trouble } from './memory.ts';
import { DEFAULT_POLICY, type Policy } from './policy.ts';
import { type Advance, advance, close, type Look, type Step } from './trouble.ts';

export interface Judgment {
  /** The very same object when nothing is worth storing. */
  readonly memory: AlertMemory;
  /** Alerts whose rows are new or different. Rows begin when an alert opens. */
  readonly changed: readonly Alert[];
  readonly tell: readonly Telling[];
  /** Every move with its reason, for the log. */
  readonly steps: readonly Step[];
}

/**
 * Takes one round of looks and says what became of every alert. Pure and repeatable: memory that
 * has been through JSON gives the same judgment. Store memory, changed and the deliveries of
 * `tell` in one transaction: then a restart tells nothing twice and forgets nothing.
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
  const ledger = openLedger(memory);
  const silent = silentPlugs(memory, looks);
  for (const look of looks) {
    const key = troubleKey(look.watch, look.subject);
    const before = ledger.get(key);
    const verdict = isInhibited(look, silent) ? 'unknown' : look.finding.verdict;
    if (before === undefined && verdict !== 'raised') continue;
    ledger.put(key, before, advance(before, look, verdict, now, policy), look);
  }
  return ledger.judgment();
}

/**
 * The keeper has seen it. An alert already acknowledged stays as it is.
 * @throws CodedError AMP_ALERTS_NOT_OPEN when no open alert has that id.
 */
export function acknowledge(memory: AlertMemory, id: string, now: Instant): Judgment {
  const key = troubleKeyOf(id);
  const trouble = memory.troubles[key];
  const { alert } = trouble ?? {};
  if (
    trouble === undefined ||
    alert?.id !== id ||
    !['open', 'acknowledged'].includes(alert.state)
  ) {
    throw new CodedError('AMP_ALERTS_NOT_OPEN', `no open alert has the id '${id}'`, {
      remedy: 'it may be over by now: look at the list of open alerts',
    });
  }
  const ledger = openLedger(memory);
  if (alert.state === 'open') {
    ledger.put(key, trouble, {
      trouble: { ...trouble, alert: { ...alert, state: 'acknowledged', acknowledged: now } },
      changed: true,
      tell: undefined,
      steps: [{ alert: id, from: 'open', to: 'acknowledged', why: 'acknowledged-by-keeper' }],
    });
  }
  return ledger.judgment();
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
      memory: troubles === undefined ? memory : { version: 1, troubles },
      changed,
      tell: gather(news),
      steps,
    }),
  };
}

/** Plugs that are silent now: by this round's looks, else by what memory says. */
function silentPlugs(memory: AlertMemory, looks: readonly Look[]): ReadonlySet<string> {
  const silent = new Set<string>();
  for (const key in memory.troubles) {
    const trouble = memory.troubles[key];
    if (trouble?.alert.watch !== 'plug-silent' || trouble.quietFrom !== null) continue;
    if (trouble.alert.state !== 'closed') silent.add(trouble.alert.subject.id);
  }
  for (const { watch, subject, finding } of looks) {
    if (watch !== 'plug-silent') continue;
    if (finding.verdict === 'raised') silent.add(subject.id);
    if (finding.verdict === 'quiet') silent.delete(subject.id);
  }
  return silent;
}

/** What a device does cannot be judged while its plug says nothing. Tanks are never inhibited. */
function isInhibited(
  { subject, plug, finding }: { subject: Look['subject']; plug?: Look['plug']; finding: Finding },
  silent: ReadonlySet<string>,
): boolean {
  if (finding.verdict === 'unknown' || subject.kind !== 'device' || plug === undefined)
    return false;
  return silent.has(plug);
}
