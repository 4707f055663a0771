import { hintsIn, type NamedHint } from './name-hints.ts';

/** What the names around a number say about it. */
export interface NameEvidence {
  /** The hints of the level that decides; they may contradict each other. */
  readonly hints: readonly NamedHint[];
  /** Only words that mean other things as well. */
  readonly weak: boolean;
  /** Some name, near or far, speaks of today. */
  readonly daily: boolean;
}

/**
 * The key next to the number decides, or the nearest one above it that says something: first the
 * keys of the payload, then the levels of the topic.
 */
export function nameEvidence(topic: string, at: string | undefined): NameEvidence {
  const levels = topic.split('/').reverse().map(hintsIn);
  const keys = at === undefined ? undefined : at.split('/').slice(1).reverse();
  const above = keys === undefined ? levels : levels.map((hints) => hints.filter(isMeasure));
  const nearest = [...(keys?.map(hintsIn) ?? []), ...above].map((hints, distance) =>
    // One letter far from the number is a name, not a quantity.
    distance === 0 ? hints : hints.filter(({ word }) => word.length > 1),
  );
  const daily = nearest.some((hints) => hints.some((hint) => hint.daily === true));
  const leaf = nearest[0] ?? [];
  // A key of one letter is chosen with care by whoever writes such keys.
  const letter = keys?.[0]?.length === 1 && leaf.length > 0;
  const strong = letter ? undefined : nearest.find((hints) => hints.some((hint) => !hint.weak));
  const hints = strong ?? nearest.find((some) => some.length > 0) ?? [];
  return { hints, weak: hints.every(({ weak }) => weak === true), daily };
}

const isMeasure = ({ is }: NamedHint): boolean => is !== 'not-billed';
