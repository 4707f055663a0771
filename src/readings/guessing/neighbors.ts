import type { Seen } from './seen.ts';
import type { Verdict } from './verdict.ts';

/**
 * Lets a number that says too little for itself follow its neighbors: the same place on topics that
 * differ in one level. A plug that is idle looks like nothing; the plugs beside it tell.
 */
export function followNeighbors(seen: readonly Seen[]): Seen[] {
  const known = new Map<string, Verdict | 'mixed'>();
  for (const { observation, verdict } of seen) {
    if (verdict.confidence === 'maybe' || verdict.is === 'not-billed') continue;
    for (const pattern of patternsOf(observation)) {
      const before = known.get(pattern);
      const agrees = before === undefined || (before !== 'mixed' && sameKind(before, verdict));
      known.set(pattern, agrees ? verdict : 'mixed');
    }
  }
  return seen.map((one) => {
    const { observation, shape, verdict } = one;
    if (shape === undefined || verdict.confidence !== 'maybe' || verdict.is === 'not-billed') {
      return one;
    }
    for (const pattern of patternsOf(observation)) {
      const neighbor = known.get(pattern);
      if (neighbor === undefined || neighbor === 'mixed' || shape.min < leastOf(neighbor)) continue;
      if (namesQuantity(pattern) && neighbor.is !== verdict.is) continue;
      return { ...one, verdict: { ...neighbor, confidence: 'likely', reasons: [`as ${pattern}`] } };
    }
    return one;
  });
}

const sameKind = (a: Verdict, b: Verdict): boolean => a.is === b.is && a.unit === b.unit;

const leastOf = ({ is }: Verdict): number =>
  is === 'counter' || is === 'humidity' ? 0 : -Infinity;

function patternsOf({ topic, at }: Seen['observation']): string[] {
  const levels = topic.split('/');
  return levels.map((_, place) => {
    const pattern = levels.with(place, '+').join('/');
    return at === undefined ? pattern : `${pattern} at ${at}`;
  });
}

/** The last level of a bare topic often tells power from energy: there, neighbors may be others. */
const namesQuantity = (pattern: string): boolean => pattern.endsWith('+');
