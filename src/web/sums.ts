import type { Sum } from './room-view.ts';
import type { Words } from './words.ts';

/** A cost, marked where all or part of it is not measured: '~' before it, as in writing by hand. */
export function costText(sum: Sum, words: Words): string {
  if (sum.energy !== 0 && sum.unpriced === sum.energy) return 'no price';
  const guessed = sum.byKnown.reckoned + sum.byKnown.bridged;
  const mostlyGuessed = sum.energy > 0 && guessed / sum.energy > MOSTLY;
  return `${mostlyGuessed ? '~' : ''}${words.money(sum.cost)}`;
}

/** From this part on, a sum is marked as a guess. */
const MOSTLY = 0.1;
