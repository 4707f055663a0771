import type { Sum } from './room-view.ts';
import type { Words } from './words.ts';

export interface CostFigure {
  readonly text: string;
  /** More than a tenth of it is reckoned, bridged or divided, not measured for itself. */
  readonly about: boolean;
  /** Part of it has no price, or more than a tenth of its time is unknown. */
  readonly more: boolean;
}

/** From this part on, a doubt about a sum is marked beside it. */
const WORTH_A_MARK = 0.1;

/** A cost as it can honestly be told: 'unknown' and 'no price' are never told as nothing. */
export function costOf(sum: Sum, words: Words): CostFigure {
  if (isUnknown(sum)) return { text: 'unknown', about: false, more: false };
  if (sum.unpriced !== 0 && sum.unpriced === sum.energy) {
    return { text: 'no price', about: false, more: false };
  }
  const guessed = sum.byKnown.reckoned + sum.byKnown.bridged + sum.divided;
  return {
    text: words.money(sum.cost),
    about: sum.energy > 0 && guessed / sum.energy > WORTH_A_MARK,
    more: sum.unpriced !== 0 || (sum.coverage ?? 1) < 1 - WORTH_A_MARK,
  };
}

/** The same as one line of plain text. */
export function costText(sum: Sum, words: Words): string {
  const { text, about, more } = costOf(sum, words);
  return `${about ? '~' : ''}${text}${more ? '+' : ''}`;
}

export const energyText = (sum: Sum, words: Words): string =>
  isUnknown(sum) ? '' : words.energy(sum.energy);

const isUnknown = ({ coverage, energy }: Sum): boolean => coverage === 0 && energy === 0;
