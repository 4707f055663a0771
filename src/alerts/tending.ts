import { CodedError, HOUR, type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { Finding, Severity } from '../watches/index.ts';
import type { Alert } from './alert.ts';
import { troubleKey } from './alert-id.ts';
import type { AlertMemory } from './memory.ts';
import type { Look } from './trouble.ts';

/** A span in which a keeper works on a tank. */
export interface Tending {
  readonly tank: string;
  readonly since: Instant;
  readonly until: Instant;
  /** Who said so, such as 'page' or 'command'. */
  readonly by: string;
  /** When it ended; it is kept a while to see whether everything is back on. */
  readonly ended?: Instant | undefined;
}

export const LONGEST_TENDING = (8 * HOUR) as Millis;

/** What is still off so soon after a tending is taken for forgotten. */
const LOOK_BACK = (30 * MINUTE) as Millis;

/**
 * What tending keeps silent: 'off' and 'change' of the tank and its devices. Whatever is not named
 * here is never silenced, above all nothing that tells of too much heat.
 */
export const SILENCED_BY_TENDING: ReadonlySet<string> = new Set([
  'after-tending',
  'air-stopped',
  'duty-unexplained',
  'heater-against-chiller',
  'heater-chattering',
  'heater-drifting',
  'heater-not-heating',
  'heater-overmatched',
  'heater-weak',
  'light-off-plan',
  'plug-silent',
  'probe-frozen',
  'probe-silent',
  'pump-laboring',
  'pump-stopped',
  'tank-too-cold',
]);

/**
 * What shows after a tending that something was left off, the worst first, and why it is told. Pumps
 * and air are not asked about: they may pause for feeding just then, and soon tell by themselves.
 */
const LEFT_OFF = [
  ['heater-not-heating', 'heater-off'],
  ['plug-silent', 'plug-away'],
  ['probe-silent', 'probe-away'],
] as const satisfies [string, string][];

export type AfterTendingReason = (typeof LEFT_OFF)[number][1] | 'all-back' | 'nothing-to-go-by';

/**
 * A keeper begins to work on a tank; a tending that already runs there is replaced.
 * @throws CodedError AMP_ALERTS_TENDING when `until` is not within eight hours from now.
 */
export function beginTending(
  memory: AlertMemory,
  tank: string,
  until: Instant,
  now: Instant,
  by: string,
): AlertMemory {
  if (!(until > now && until - now <= LONGEST_TENDING)) {
    throw new CodedError('AMP_ALERTS_TENDING', `the tending of '${tank}' cannot last that long`, {
      remedy: 'let it end later than now and within 8 hours; begin another one if more is needed',
    });
  }
  return withTending(memory, { tank, since: now, until, by });
}

/** The keeper is done. Where no tending runs, memory stays the very same. */
export function endTending(memory: AlertMemory, tank: string, now: Instant): AlertMemory {
  const tending = running(memory, tank, now);
  return tending === undefined ? memory : withTending(memory, { ...tending, ended: now });
}

/** Tendings that run, the first to end first. */
export const runningTendings = (memory: AlertMemory, now: Instant): Tending[] =>
  Object.values(memory.tendings ?? {})
    .filter((tending) => isRunning(tending, now))
    .sort((a, b) => a.until - b.until || (a.tank < b.tank ? -1 : 1));

/** Whether a tending holds this alert's tongue. */
export function isSilenced(
  memory: AlertMemory,
  { watch, subject }: Pick<Alert, 'watch' | 'subject'>,
  tank: string | undefined,
  now: Instant,
): boolean {
  if (memory.tendings === undefined || !SILENCED_BY_TENDING.has(watch)) return false;
  const tended = subject.kind === 'tank' ? subject.id : tank;
  return tended !== undefined && running(memory, tended, now) !== undefined;
}

/** Ends what is past its time and forgets what ended long ago with nothing left off. */
export function lapse(memory: AlertMemory, now: Instant): AlertMemory {
  let next = memory;
  for (const tending of Object.values(memory.tendings ?? {})) {
    if (tending.ended === undefined) {
      if (!isRunning(tending, now)) next = withTending(next, { ...tending, ended: now });
      continue;
    }
    const state = reminder(memory, tending.tank)?.state;
    const reminded = state !== undefined && state !== 'closed';
    if (!reminded && Math.abs(now - tending.ended) > LOOK_BACK) {
      const { [tending.tank]: _, ...tendings } = next.tendings ?? {};
      next = { ...next, tendings };
    }
  }
  return next;
}

/** After a tending: is everything back on? A look of its own at each tank that was tended. */
export function lookBack(memory: AlertMemory, looks: readonly Look[]): Look[] {
  return Object.values(memory.tendings ?? {}).flatMap(({ tank, ended }) => {
    if (ended === undefined) return [];
    const signs = looks.filter((look) => look.tank === tank && LEFT_OFF.some(isOf(look)));
    const subject = { kind: 'tank', id: tank } as const;
    const room = signs[0]?.room;
    return [{ watch: 'after-tending', subject, room, tank, finding: leftOff(signs) } as const];
  });
}

const isOf =
  ({ watch }: Look) =>
  ([name]: readonly [string, string]): boolean =>
    watch === name;

function leftOff(signs: readonly Look[]): Finding {
  for (const [name, reason] of LEFT_OFF) {
    const sign = signs.find(
      ({ watch, finding }) => watch === name && finding.verdict === 'raised',
    )?.finding;
    if (sign !== undefined) {
      return found('raised', reason, { confidence: sign.confidence, evidence: sign.evidence });
    }
  }
  return signs.some(({ finding }) => finding.verdict === 'quiet')
    ? found('quiet', 'all-back')
    : found('unknown', 'nothing-to-go-by');
}

const found = (
  verdict: Finding['verdict'],
  reason: AfterTendingReason,
  { confidence = 'possible', evidence = [] }: Partial<Finding> = {},
): Finding => ({
  verdict,
  severity: 'warning' satisfies Severity,
  reason,
  confidence,
  evidence,
  hold: 0 as Millis,
});

const reminder = (memory: AlertMemory, tank: string): Alert | undefined =>
  memory.troubles[troubleKey('after-tending', { kind: 'tank', id: tank })]?.alert;

const withTending = (memory: AlertMemory, tending: Tending): AlertMemory => ({
  ...memory,
  tendings: { ...memory.tendings, [tending.tank]: tending },
});

/** A tending that a clock set back has made longer than any is over. */
const isRunning = ({ until, ended }: Tending, now: Instant): boolean =>
  ended === undefined && now < until && until - now <= LONGEST_TENDING;

function running(memory: AlertMemory, tank: string, now: Instant): Tending | undefined {
  const { tendings } = memory;
  if (tendings === undefined || !Object.hasOwn(tendings, tank)) return undefined;
  const tending = tendings[tank];
  return tending !== undefined && isRunning(tending, now) ? tending : undefined;
}
