import { HOUR, type Instant, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note } from './views.ts';

export type CostAheadReason =
  | 'over-budget' // already, whatever the rest of the month brings
  | 'projected-over-budget'
  | 'within-budget'
  | 'no-budget'
  | 'no-projection'
  | 'month-too-young'
  | 'coverage-low';

export interface CostAheadState {
  readonly over: Latch;
  /** When a new month put an end to what was over. */
  readonly turned?: Instant | undefined;
}

/** The month so far and what it will come to, in the site's currency. */
export interface MonthCost {
  readonly spent: number;
  readonly projected: number;
  /** Days of the month that are over. */
  readonly days: number;
  /** What part of those days the books know. */
  readonly coverage: number;
}

export interface CostAheadInput {
  readonly config: WatchesConfig;
  readonly month: MonthCost | undefined;
}

const inBudget: CostAheadState = { over: openLatch };
const HOLD = HOUR as Millis;
const OVER_FOR = 6 * HOUR;
/** A projection moves from day to day: it is over this much of the budget below what raises it. */
const LESS = 0.05;
const COVERAGE = 0.9;

/** A month that runs over its budget. In its first days a projection is a guess. */
export function lookAtCostAhead(
  before: CostAheadState | undefined,
  { config, month }: CostAheadInput,
  now: Instant,
): { state: CostAheadState; finding: Finding } {
  const state = before ?? inBudget;
  const rule = config.cost_ahead;
  const budget = rule.budget_per_month;
  const say = (
    next: CostAheadState,
    verdict: Finding['verdict'],
    reason: CostAheadReason,
    proof: Evidence[],
  ) => ({
    state: next,
    finding: { ...possibleWarning(verdict, reason, proof, HOLD), severity: 'notice' as const },
  });
  if (budget === undefined) return say(state, 'unknown', 'no-budget', []);
  const isSpent = month !== undefined && month.spent > budget;
  if (month === undefined || (!isSpent && month.days < rule.first_days)) {
    // A new month begins with a clean sheet: what was over is over, and long enough for an alert to close.
    const next = state.over.since === undefined ? state : { over: openLatch, turned: now };
    const isOver = next.turned !== undefined && Math.abs(now - next.turned) < OVER_FOR;
    const reason = month === undefined ? 'no-projection' : 'month-too-young';
    return say(next, isOver ? 'quiet' : 'unknown', reason, []);
  }
  if (!isSpent && month.coverage < COVERAGE) return say(state, 'unknown', 'coverage-low', []);
  const beyond = month.projected / budget - 1;
  const over = latch(
    state.over,
    {
      over: isSpent || beyond > rule.over,
      calm: !isSpent && beyond < rule.over - LESS,
      hold: HOLD,
      settle: HOLD,
    },
    now,
  );
  const next = over === state.over ? state : { over };
  const proof: Evidence[] = [];
  note(proof, 'projected-of-budget', month.projected / budget, 'fraction');
  note(proof, 'spent-of-budget', month.spent / budget, 'fraction');
  if (over.since === undefined) return say(next, 'quiet', 'within-budget', proof);
  const reason = isSpent ? 'over-budget' : 'projected-over-budget';
  const { finding } = say(next, 'raised', reason, proof);
  return { state: next, finding: { ...finding, confidence: isSpent ? 'certain' : 'likely' } };
}
