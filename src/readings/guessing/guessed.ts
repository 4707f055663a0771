import type { Unit } from './name-hints.ts';

/** How much a guess rests on. Only what is at least likely goes into a sketch. */
export type Confidence = 'sure' | 'likely' | 'maybe';

/** What a number on the broker probably is. */
export interface Guess {
  readonly topic: string;
  /** JSON Pointer, or undefined for the bare payload. */
  readonly at: string | undefined;
  readonly is:
    | 'power'
    | 'counter'
    | 'voltage'
    | 'temperature'
    | 'humidity'
    | 'presence'
    | 'not-billed'
    | 'unclear';
  /** For what is not billed: what it is, such as 'a current'. */
  readonly what: string | undefined;
  /** Undefined where none fits. */
  readonly unit: Unit | undefined;
  readonly confidence: Confidence;
  readonly reasons: readonly string[];
  /** A counter that falls to zero each midnight is told from one that goes on. */
  readonly restarts: 'never' | 'at-midnight';
  /** Values seen by which a sensor says that it is broken. */
  readonly sentinels: readonly number[];
  /** For presence: the words for being on the air and for having gone. */
  readonly words: { readonly on: readonly string[]; readonly off: readonly string[] };
  readonly decimalComma: boolean;
  /** The last number seen. */
  readonly last: number | undefined;
  /** Feeds of the running config that read this topic; empty where no feed claims it. */
  readonly claimedBy: readonly string[];
}
