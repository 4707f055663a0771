import {
  type AccountBook,
  type BookStore,
  beginRepricing,
  createAccountBook,
  type Repricing,
  type RepricingSummary,
} from '../books/index.ts';
import type { Clock, Logger } from '../units/index.ts';
import { basisOf, type Terms } from './terms.ts';

/** The accounts, and how they go over from the terms of one configuration to those of the next. */
export interface Pricing {
  readonly book: AccountBook;
  /** How much of the past has been priced anew, 0–1; undefined when nothing is under way. */
  readonly progress: number | undefined;
  /**
   * Goes over to other terms: at once where no day that is over is touched. Otherwise the past is
   * priced anew bit by bit while all figures stay as they were, and then they change together.
   */
  change(terms: Terms): void;
  stop(): void;
}

export interface PricingParts {
  readonly store: BookStore;
  /** What was in force when the daemon last ran; undefined for new books. */
  readonly stored: Terms | undefined;
  readonly terms: Terms;
  readonly clock: Clock;
  readonly logger: Logger;
  /** These terms are in force from now on: to be stored. */
  readonly inForce: (terms: Terms, summary: RepricingSummary | undefined) => void;
}

/** Between two bits of work others get their turn, ms. */
const PAUSE = 5;
/** After the store would not be read or written, ms. */
const RETRY_AFTER = 5_000;
/** How often the log says how far it is, in tenths of the whole. */
const TENTHS = 10;

export function createPricing(parts: PricingParts): Pricing {
  const { store, clock, logger } = parts;
  let current = parts.stored ?? parts.terms;
  const book = createAccountBook(store, basisOf(current));
  let timer: NodeJS.Timeout | undefined;
  let job: Repricing | undefined;

  function change(terms: Terms): void {
    clearTimeout(timer);
    job = undefined;
    const after = basisOf(terms);
    if (JSON.stringify(terms) === JSON.stringify(current)) return;
    const begun = beginRepricing(store, basisOf(current), after, clock.now());
    if (begun.days.length === 0) {
      takeEffect(terms, undefined);
      return;
    }
    logger.info(
      { days: begun.days.length },
      'tariffs or shares of past days changed: pricing them anew',
    );
    job = begun;
    timer = setTimeout(() => work(begun, terms, 0), PAUSE);
  }

  function work(begun: Repricing, terms: Terms, told: number): void {
    const tenth = Math.floor(begun.progress * TENTHS);
    try {
      if (begun.step()) {
        if (tenth > told) logger.info({ done: begun.progress }, 'pricing past days anew');
        timer = setTimeout(() => work(begun, terms, tenth), PAUSE);
        return;
      }
      takeEffect(terms, begun.summary());
      job = undefined;
    } catch (error) {
      logger.error({ err: error }, 'past days could not be priced anew; it is tried again');
      timer = setTimeout(() => work(begun, terms, tenth), RETRY_AFTER);
    }
  }

  function takeEffect(terms: Terms, summary: RepricingSummary | undefined): void {
    parts.inForce(terms, summary);
    current = terms;
    book.reconfigure(basisOf(terms));
    if (summary !== undefined) logger.info({ ...summary.site }, 'past days are priced anew');
  }

  if (parts.stored === undefined) parts.inForce(parts.terms, undefined);
  else change(parts.terms);

  return {
    book,
    get progress() {
      return job?.progress;
    },
    change,
    stop: () => clearTimeout(timer),
  };
}
