import { CodedError, type Instant } from '../units/index.ts';
import type { Finding, Subject } from '../watches/index.ts';
import type { Alert, AlertState, AlertSubject, AlertWatch } from './alert.ts';
import { troubleKey, troubleKeyOf } from './alert-id.ts';
import type { Story } from './story.ts';
import type { Tending } from './tending.ts';

/** What is remembered of one watch on one subject while there is something to remember. */
export interface Trouble {
  readonly alert: Alert;
  /** Start of the unbroken raised stretch; moved forward by time in which nothing was seen. */
  readonly raisedFrom: Instant;
  /** Start of the unbroken quiet stretch, moved likewise; null while raised. */
  readonly quietFrom: Instant | null;
  /** Since when nothing can be seen; null while the watch sees. */
  readonly unseenFrom: Instant | null;
  /** The last look that raised it, to about a minute, so that memory rarely changes. */
  readonly seen: Instant;
  /** When the alert's row last took over fresh evidence. */
  readonly refreshed: Instant;
  /** How often in a row it has come back soon after closing. */
  readonly relapses: number;
  /** The keeper asked for silence until then; never with an acknowledgment. */
  readonly snoozedUntil?: Instant | undefined;
  /** Pending only: the key of the trouble that explains it, while that one lasts. */
  readonly inhibitedBy?: string | undefined;
  /** Pending only: what was over so short a while ago that this is its relapse. */
  readonly past?: Trouble | undefined;
}

/**
 * All troubles, by 'WATCH:KIND/ID'. Survives JSON. What is quiet or unknown is not in here: the
 * next look says it again, and after a restart everything without a trouble is unknown until then.
 */
export interface AlertMemory {
  readonly version: 1;
  readonly troubles: Readonly<Record<string, Trouble>>;
  /** By tank: those that run, and those that ended a short while ago. */
  readonly tendings?: Readonly<Record<string, Tending>>;
  /** By alert id, who was told what. Undefined until the first announcement. */
  readonly stories?: Readonly<Record<string, Story>>;
  /** By channel, when something was last told again there. */
  readonly repeated?: Readonly<Record<string, Instant>>;
}

export const EMPTY_MEMORY: AlertMemory = { version: 1, troubles: {} };

/** Where a watch stands on a subject: 'unknown' and 'quiet' come from its latest look. */
export type Standing = 'unknown' | 'quiet' | AlertState;

/** `latest` is what the watch said last, undefined before its first look. */
export function standing(
  memory: AlertMemory,
  watch: AlertWatch,
  subject: AlertSubject,
  latest: Finding['verdict'] | undefined,
): Standing {
  const trouble = memory.troubles[troubleKey(watch, subject)];
  if (trouble !== undefined && trouble.alert.state !== 'closed') return trouble.alert.state;
  return latest === 'quiet' ? 'quiet' : 'unknown';
}

/** Whether a plug or probe is known to be silent. */
export function isSilent(memory: AlertMemory, source: Subject): boolean {
  if (source.kind !== 'plug' && source.kind !== 'probe') return false;
  const trouble = memory.troubles[troubleKey(`${source.kind}-silent`, source)];
  return trouble?.alert.state !== 'closed' && trouble?.quietFrom === null;
}

/** A suspicion that is kept back because another trouble explains it. */
export interface Inhibited {
  readonly alert: Alert;
  /** 'WATCH:KIND/ID' of what explains it. */
  readonly by: string;
}

/** What would be pending on its own account, oldest first. */
export const inhibitedAlerts = (memory: AlertMemory): Inhibited[] =>
  Object.values(memory.troubles)
    .flatMap(({ alert, inhibitedBy: by }) => (by === undefined ? [] : [{ alert, by }]))
    .sort((a, b) => a.alert.since - b.alert.since || (a.alert.id < b.alert.id ? -1 : 1));

/** The alerts in memory that are not over: pending, open and acknowledged, oldest first. */
export function liveAlerts(memory: AlertMemory): Alert[] {
  return Object.values(memory.troubles)
    .map((trouble) => trouble.alert)
    .filter((alert) => alert.state !== 'closed')
    .sort((a, b) => a.since - b.since || (a.id < b.id ? -1 : 1));
}

/**
 * Reads memory back from parsed JSON; nothing stored yet (null, undefined) is an empty memory.
 * @throws CodedError AMP_ALERTS_MEMORY when it is not what this version wrote: a memory quietly
 *   dropped would tell every open alert again.
 */
export function readMemory(stored: unknown): AlertMemory {
  if (stored === undefined || stored === null) return EMPTY_MEMORY;
  const { version, troubles } = stored as { version?: unknown; troubles?: unknown };
  if (version !== 1 || typeof troubles !== 'object' || troubles === null) {
    throw unreadable(`version ${JSON.stringify(version) ?? 'missing'}, expected 1`);
  }
  const read: Record<string, Trouble> = {};
  for (const [key, trouble] of Object.entries(troubles)) read[key] = readTrouble(key, trouble);
  return { ...(stored as AlertMemory), troubles: read, ...readRest(stored as AlertMemory) };
}

const STATES: readonly AlertState[] = ['pending', 'open', 'acknowledged', 'closed'];

function readTrouble(key: string, stored: Partial<Trouble> | null): Trouble {
  const alert = stored?.alert;
  const whole =
    alert !== undefined &&
    typeof alert.id === 'string' &&
    troubleKeyOf(alert.id) === key &&
    STATES.includes(alert.state) &&
    Array.isArray(alert.evidence) &&
    [alert.since, stored?.raisedFrom, stored?.seen, stored?.refreshed, stored?.relapses].every(
      Number.isFinite,
    );
  if (!whole) throw unreadable(`'${key}' is not a whole trouble`);
  // JSON has no undefined: times that were not reached yet come back as missing keys.
  const { past, ...trouble } = stored as Trouble;
  return {
    ...trouble,
    alert: readAlert(alert),
    ...(past === undefined ? {} : { past: readTrouble(key, past) }),
  };
}

function readAlert(alert: Alert): Alert {
  const { opened, acknowledged, closed } = alert;
  const evidence = alert.evidence.map(({ at, ...rest }) => ({ ...rest, at }));
  return { ...alert, evidence, opened, acknowledged, closed };
}

/** What later versions added; its absence means that nothing of it was there yet. */
function readRest({ tendings, stories, repeated }: Partial<AlertMemory>): Partial<AlertMemory> {
  for (const part of [tendings, stories, repeated]) {
    if (part !== undefined && (typeof part !== 'object' || part === null)) {
      throw unreadable('tendings, stories or repeats are no list by name');
    }
  }
  for (const [tank, tending] of Object.entries(tendings ?? {})) {
    if (tending?.tank !== tank || ![tending.since, tending.until].every(Number.isFinite)) {
      throw unreadable(`'${tank}' is not a whole tending`);
    }
  }
  const told: Record<string, Story> = {};
  for (const [id, story] of Object.entries(stories ?? {})) {
    const whole =
      story?.alert?.id === id &&
      Array.isArray(story.alert.evidence) &&
      Number.isFinite(story.from) &&
      typeof story.heard === 'object' &&
      story.heard !== null;
    if (!whole) throw unreadable(`'${id}' is not a whole story`);
    told[id] = { ...story, alert: readAlert(story.alert) };
  }
  return stories === undefined ? {} : { stories: told };
}

const unreadable = (what: string): CodedError =>
  new CodedError('AMP_ALERTS_MEMORY', `the stored memory of alerts cannot be read: ${what}`, {
    remedy:
      'restore the store from its last backup, or remove the memory to start over: alerts that are still raised are then told again',
  });
