import { type Instant, MINUTE } from '../units/index.ts';
import type { Finding, Severity } from '../watches/index.ts';
import type { Alert, AlertState, AlertSubject, AlertWatch, Delivery } from './alert.ts';
import { alertId } from './alert-id.ts';
import type { Trouble } from './memory.ts';
import { keepOpenFor, type Policy } from './policy.ts';

/** What one watch said about one subject, and what it is related to. */
export interface Look {
  readonly watch: AlertWatch;
  readonly subject: AlertSubject;
  readonly finding: Finding;
  /** Where the subject is, for messages that gather several alerts. */
  readonly room?: string | undefined;
  /** The tank that a device serves. */
  readonly tank?: string | undefined;
  /** The plug that a device hangs on: while it is silent the look counts as unknown. */
  readonly plug?: string | undefined;
}

export type Change = Delivery['change'];

/** Why an alert moved; logged and shown. */
export type Why =
  | 'first-raised'
  | 'quiet-before-hold'
  | 'unseen-too-long'
  | 'hold-passed'
  | 'became-critical'
  | 'quiet-long-enough'
  | 'acknowledged-by-keeper'
  | 'snoozed-by-keeper'
  | 'explained-by-another'
  | 'subject-gone';

/** One move of one alert. `to` is 'quiet' for a pending alert that came to nothing. */
export interface Step {
  readonly alert: string;
  readonly from: AlertState | 'quiet';
  readonly to: AlertState | 'quiet';
  readonly why: Why;
}

/** What a look does to a trouble. */
export interface Advance {
  readonly trouble: Trouble | undefined;
  /** The alert's row is new or different. */
  readonly changed: boolean;
  readonly tell: Change | undefined;
  readonly steps: readonly Step[];
}

const RANK: Record<Severity, number> = { notice: 0, warning: 1, critical: 2 };

export const isWorse = (a: Severity, b: Severity): boolean => RANK[a] > RANK[b];

const still = (trouble: Trouble | undefined): Advance => ({
  trouble,
  changed: false,
  tell: undefined,
  steps: [],
});

/** A raised finding that another trouble explains: remembered, not told. Its hold does not run. */
export function inhibit(
  trouble: Trouble | undefined,
  look: Look,
  by: string,
  now: Instant,
  policy: Policy,
): Advance {
  if (trouble === undefined || trouble.alert.state === 'closed') {
    const begun = suspicion(trouble, look, now, policy);
    const { id } = begun.alert;
    return {
      ...still({ ...begun, unseenFrom: now, inhibitedBy: by }),
      steps: [{ alert: id, from: 'quiet', to: 'pending', why: 'explained-by-another' }],
    };
  }
  if (trouble.alert.state !== 'pending') return lookAway(trouble, now, policy);
  const known = trouble.inhibitedBy === by && trouble.unseenFrom !== null;
  if (known && Math.abs(now - trouble.seen) < MINUTE) return still(trouble);
  return still({
    ...trouble,
    inhibitedBy: by,
    unseenFrom: trouble.unseenFrom ?? now,
    seen: now,
  });
}

/** The next state of one trouble. Pure: the whole lifecycle is decided here. */
export function advance(
  trouble: Trouble | undefined,
  look: Look,
  verdict: Finding['verdict'],
  now: Instant,
  policy: Policy,
): Advance {
  if (trouble === undefined || trouble.alert.state === 'closed') {
    if (verdict === 'raised') return begin(trouble, look, now, policy);
    return still(trouble && isForgotten(trouble, now, policy) ? undefined : trouble);
  }
  if (verdict === 'unknown') return lookAway(freed(trouble), now, policy);
  const seeing = backInSight(freed(trouble), now);
  if (trouble.alert.state === 'pending') {
    return verdict === 'raised'
      ? hold(seeing, look, now, policy)
      : drop(trouble, 'quiet-before-hold');
  }
  return verdict === 'raised'
    ? stayRaised(seeing, look.finding, now, policy)
    : stayQuiet(seeing, look.finding, now, policy);
}

/** Nothing explains it any more. */
function freed(trouble: Trouble): Trouble {
  if (trouble.inhibitedBy === undefined) return trouble;
  const { inhibitedBy: _, ...rest } = trouble;
  return rest;
}

const isForgotten = ({ alert }: Trouble, now: Instant, policy: Policy): boolean =>
  now - (alert.closed ?? now) > policy.relapseWithin;

function begin(past: Trouble | undefined, look: Look, now: Instant, policy: Policy): Advance {
  const trouble = suspicion(past, look, now, policy);
  const { id } = trouble.alert;
  const first: Step = { alert: id, from: 'quiet', to: 'pending', why: 'first-raised' };
  const held = hold(trouble, look, now, policy);
  return { ...held, steps: [first, ...held.steps] };
}

function suspicion(past: Trouble | undefined, look: Look, now: Instant, policy: Policy): Trouble {
  const { watch, subject, finding } = look;
  const alert: Alert = {
    id: alertId(watch, subject, now),
    watch,
    subject,
    state: 'pending',
    severity: finding.severity,
    confidence: finding.confidence,
    reason: finding.reason,
    evidence: finding.evidence,
    since: now,
    opened: undefined,
    acknowledged: undefined,
    closed: undefined,
  };
  const relapsed = past !== undefined && !isForgotten(past, now, policy);
  return {
    alert,
    raisedFrom: now,
    quietFrom: null,
    unseenFrom: null,
    seen: now,
    refreshed: now,
    relapses: relapsed ? past.relapses + 1 : 0,
    ...(relapsed ? { past } : {}),
  };
}

function hold(trouble: Trouble, look: Look, now: Instant, policy: Policy): Advance {
  const { alert } = trouble;
  const { finding } = look;
  if (now - trouble.seen > policy.pendingForgotten) {
    const dropped = drop(trouble, 'unseen-too-long');
    const begun = begin(dropped.trouble, look, now, policy);
    return { ...begun, steps: [...dropped.steps, ...begun.steps] };
  }
  // A clock that was set back must not leave the start of the hold in the future.
  const raisedFrom = Math.min(trouble.raisedFrom, now) as Instant;
  if (now - raisedFrom < finding.hold) {
    const fresh = Math.abs(now - trouble.seen) < MINUTE && raisedFrom === trouble.raisedFrom;
    return still(fresh ? trouble : { ...trouble, raisedFrom, seen: now });
  }
  const { past: _, ...rest } = trouble;
  const opened: Trouble = {
    ...rest,
    raisedFrom,
    seen: now,
    refreshed: now,
    alert: { ...alert, ...facts(finding), severity: finding.severity, state: 'open', opened: now },
  };
  return {
    trouble: opened,
    changed: true,
    tell: 'opened',
    steps: [{ alert: alert.id, from: 'pending', to: 'open', why: 'hold-passed' }],
  };
}

/** A relapse that comes to nothing must not make its alert's past forgotten. */
const drop = ({ alert, past }: Trouble, why: Why): Advance => ({
  trouble: past,
  changed: false,
  tell: undefined,
  steps: [{ alert: alert.id, from: 'pending', to: 'quiet', why }],
});

function lookAway(trouble: Trouble, now: Instant, policy: Policy): Advance {
  if (trouble.alert.state === 'pending' && now - trouble.seen > policy.pendingForgotten) {
    return drop(trouble, 'unseen-too-long');
  }
  return still(trouble.unseenFrom === null ? { ...trouble, unseenFrom: now } : trouble);
}

/** Time in which nothing was seen counts neither toward the hold nor toward the keep-open time. */
function backInSight(trouble: Trouble, now: Instant): Trouble {
  if (trouble.unseenFrom === null) return trouble;
  const unseen = Math.max(0, now - trouble.unseenFrom);
  return {
    ...trouble,
    unseenFrom: null,
    raisedFrom: (trouble.raisedFrom + unseen) as Instant,
    quietFrom: trouble.quietFrom === null ? null : ((trouble.quietFrom + unseen) as Instant),
  };
}

function stayRaised(trouble: Trouble, finding: Finding, now: Instant, policy: Policy): Advance {
  const { alert } = trouble;
  const worse = isWorse(finding.severity, alert.severity);
  const stale = Math.abs(now - trouble.refreshed) >= policy.refreshEvery;
  if (!worse && !stale) {
    return still(trouble.quietFrom === null ? trouble : { ...trouble, quietFrom: null });
  }
  const after: Trouble = {
    ...trouble,
    quietFrom: null,
    seen: now,
    refreshed: now,
    alert: { ...alert, ...facts(finding), severity: worse ? finding.severity : alert.severity },
  };
  if (!worse || finding.severity !== 'critical') {
    return { trouble: after, changed: true, tell: undefined, steps: [] };
  }
  // What was acknowledged or snoozed was less than this: the keeper has to see it again.
  return {
    trouble: {
      ...awake(after),
      alert: { ...after.alert, state: 'open', acknowledged: undefined },
    },
    changed: true,
    tell: 'worsened',
    steps: [{ alert: alert.id, from: alert.state, to: 'open', why: 'became-critical' }],
  };
}

function stayQuiet(trouble: Trouble, finding: Finding, now: Instant, policy: Policy): Advance {
  const { alert } = trouble;
  const quietFrom = Math.min(trouble.quietFrom ?? now, now) as Instant;
  if (now - quietFrom < keepOpenFor(policy, alert.watch, trouble.relapses)) {
    return still(trouble.quietFrom === quietFrom ? trouble : { ...trouble, quietFrom });
  }
  const evidence = finding.evidence.length > 0 ? finding.evidence : alert.evidence;
  return close({ ...trouble, alert: { ...alert, evidence } }, now, 'quiet-long-enough');
}

/** Without its snooze. */
export function awake(trouble: Trouble): Trouble {
  if (trouble.snoozedUntil === undefined) return trouble;
  const { snoozedUntil: _, ...rest } = trouble;
  return rest;
}

export function close(trouble: Trouble, now: Instant, why: Why): Advance {
  const { alert } = trouble;
  return {
    trouble: {
      ...awake(freed(trouble)),
      quietFrom: null,
      alert: { ...alert, state: 'closed', closed: now },
    },
    changed: true,
    tell: 'closed',
    steps: [{ alert: alert.id, from: alert.state, to: 'closed', why }],
  };
}

const facts = ({
  confidence,
  reason,
  evidence,
}: Finding): Pick<Alert, 'confidence' | 'reason' | 'evidence'> => ({
  confidence,
  reason,
  evidence,
});
