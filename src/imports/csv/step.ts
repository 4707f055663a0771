import { type Instant, MINUTE } from '../../units/index.ts';
import { FileRefused } from '../refused.ts';

/** Steps between prices that markets have. */
const KNOWN_STEPS = [15, 30, 60] as const;

/** Longer steps are holes; when one length of them is this frequent, it is a second step. */
const SECOND_STEP = 0.05;

/**
 * How long the prices of a table hold that has no ends, in minutes: its smallest step, when the
 * others are a few holes of whole steps.
 * @throws FileRefused AMP_CSV_STEP when the steps do not tell.
 */
export function inferStep(starts: readonly Instant[]): (typeof KNOWN_STEPS)[number] {
  const sorted = [...new Set(starts)].sort((a, b) => a - b);
  const counts = new Map<number, number>();
  sorted.forEach((at, index) => {
    const before = sorted[index - 1];
    if (before === undefined) return;
    const minutes = (at - before) / MINUTE;
    counts.set(minutes, (counts.get(minutes) ?? 0) + 1);
  });
  const smallest = Math.min(...counts.keys());
  const step = KNOWN_STEPS.find((known) => known === smallest);
  const others = [...counts].filter(([minutes]) => minutes !== smallest);
  const isEven = others.every(
    ([minutes, count]) =>
      minutes % smallest === 0 && (count === 1 || count < SECOND_STEP * sorted.length),
  );
  if (step !== undefined && isEven) return step;
  throw new FileRefused({
    code: 'AMP_CSV_STEP',
    place: 'column start',
    message:
      counts.size === 0
        ? 'a single price does not tell how long it holds'
        : `its steps do not tell how long a price holds: ${[...counts.keys()].slice(0, 4).join(', ')} minutes`,
    remedy: 'say 15 or 60 minutes when importing, or add a column end',
  });
}
