import { DAY, type Instant, MINUTE, type Millis, SECOND } from '../units/index.ts';

/**
 * How long a source is usually silent between two words: a histogram of its silences in half
 * octaves from one second up, which forgets half of itself every week.
 */
export interface Gaps {
  readonly weights: number[];
  /** When the first gap was seen. */
  since: Instant | undefined;
  halved: Instant | undefined;
}

const BUCKETS = 40;
const FORGETS = (7 * DAY) as Millis;
/** So many gaps before anything is called usual. */
const ENOUGH = 20;
/** A silence that makes up less of the time than this is an outage, not a habit. */
const HABIT = 0.02;
/** Of a steadily sampling source, so many gaps are at most the usual one. */
const STEADY = 0.95;

export const createGaps = (): Gaps => ({
  weights: new Array<number>(BUCKETS).fill(0),
  since: undefined,
  halved: undefined,
});

/** The longest gap that falls into each bucket. */
const EDGES = Array.from({ length: BUCKETS }, (_, i) => (SECOND * 2 ** (i / 2)) as Millis);
const MIDDLES = EDGES.map((edge) => edge * 2 ** -0.25);
const LONGEST = EDGES[BUCKETS - 1] as Millis;

/** Counts one silence that ended at `at`. Readings within a second are one word. */
export function learnGap(gaps: Gaps, length: number, at: Instant): void {
  if (length < SECOND / 2) return;
  const bucket = Math.min(BUCKETS - 1, Math.max(0, Math.ceil(2 * Math.log2(length / SECOND))));
  gaps.weights[bucket] = (gaps.weights[bucket] ?? 0) + 1;
  gaps.since ??= at;
  gaps.halved ??= at;
  if (at - gaps.halved >= FORGETS) {
    for (let i = 0; i < BUCKETS; i += 1) gaps.weights[i] = (gaps.weights[i] ?? 0) / 2;
    gaps.halved = at;
  }
}

function steadyInterval(weights: readonly number[], total: number): Millis {
  let below = 0;
  for (let i = 0; i < BUCKETS; i += 1) {
    below += weights[i] ?? 0;
    if (below >= total * STEADY) return EDGES[i] ?? LONGEST;
  }
  return LONGEST;
}

/** The longest silence that has come back `recurs` times and makes up a real part of the time. */
function longestHabit(weights: readonly number[], recurs: number): Millis | undefined {
  let time = 0;
  for (let i = 0; i < BUCKETS; i += 1) time += (weights[i] ?? 0) * (MIDDLES[i] ?? 0);
  let count = 0;
  for (let i = BUCKETS - 1; i >= 0; i -= 1) {
    count += weights[i] ?? 0;
    // Longer ones count as if they were of this length: one outage must not make up for many.
    if (count >= recurs && count * (MIDDLES[i] ?? 0) >= time * HABIT) return EDGES[i];
  }
  return undefined;
}

/** How a source speaks, which decides what its silence means. */
export type Manner =
  | 'steady' // samples at an interval
  | 'mixed' // a probe: at an interval or on change, not told which
  | 'on-change'; // may be silent as long as nothing happens

/**
 * The usual silence of a source, never shorter than it is by more than a bucket (a factor √2), or
 * undefined while too little has been heard. A source that speaks on change is believed the longest
 * silence it has shown, in its first days once, later only when it comes back.
 */
export function usualSilence(gaps: Gaps, manner: Manner, now: Instant): Millis | undefined {
  let total = 0;
  for (const weight of gaps.weights) total += weight;
  if (gaps.since === undefined || total < ENOUGH) return undefined;
  if (manner === 'steady') return steadyInterval(gaps.weights, total);
  if (manner === 'mixed') return longestHabit(gaps.weights, 3);
  const days = (now - gaps.since) / DAY;
  if (days < 1) return undefined;
  return longestHabit(gaps.weights, days < 3 ? 1 : days < 7 ? 2 : 3);
}

/** How long a source may be silent while too little is known of it. Common practice, no source. */
export const UNLEARNED_SILENCE: Readonly<Record<Manner, Millis>> = {
  steady: (30 * MINUTE) as Millis,
  mixed: (60 * MINUTE) as Millis,
  'on-change': DAY,
};

/** How long after the first chance to hear it a source may take to say its first word. */
export const FIRST_WORD: Readonly<Record<Manner, Millis>> = {
  steady: (30 * MINUTE) as Millis,
  mixed: (60 * MINUTE) as Millis,
  'on-change': (60 * MINUTE) as Millis,
};

export interface Patience {
  readonly allowed: Millis;
  /** The usual interval it rests on, where there is one. */
  readonly usual: Millis | undefined;
  readonly from: 'told' | 'learned' | 'not-yet';
}

/** How long a source may be silent before it counts as silent. */
export function patienceWith(
  gaps: Gaps,
  manner: Manner,
  told: Millis | undefined,
  rule: { readonly intervals: number; readonly at_least_min: number },
  now: Instant,
): Patience {
  const usual = told ?? usualSilence(gaps, manner, now);
  if (usual === undefined) {
    return { allowed: UNLEARNED_SILENCE[manner], usual, from: 'not-yet' };
  }
  return {
    allowed: Math.max(rule.at_least_min * MINUTE, rule.intervals * usual) as Millis,
    usual,
    from: told === undefined ? 'learned' : 'told',
  };
}
