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
  if (month === undefined) return say(state, 'unknown', 'no-projection', []);
  const isSpent = month.spent > budget;
  if (!isSpent && month.days < rule.first_days) {
    // A new month begins with a clean sheet: what was over is over.
    const next = state.over.since === undefined ? state : inBudget;
    const isNew = next !== state;
    return say(next, isNew ? 'quiet' : 'unknown', 'month-too-young', []);
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
