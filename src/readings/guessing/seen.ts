import type { SeriesShape } from './series-shape.ts';
import type { Observation } from './survey.ts';
import type { Verdict } from './verdict.ts';

/** An observation with what is thought of it so far. */
export interface Seen {
  readonly observation: Observation;
  /** Undefined where there were no numbers. */
  readonly shape: SeriesShape | undefined;
  readonly verdict: Verdict;
}
