import {
  type AccountBasis,
  type AccountBook,
  type BookStore,
  beginRepricing,
  createAccountBook,
  type Repricing,
  type RepricingSummary,
} from '../books/index.ts';
import type { Clock, Logger } from '../units/index.ts';
import { basisOf, sameTerms, type Terms } from './terms.ts';

/** The accounts, and how they go over from the terms of one configuration to those of the next. */
export interface Pricing {
  readonly book: AccountBook;
  /** How much of the past has been priced anew, 0–1; undefined when nothing is under way. */
  readonly progress: number | undefined;
  /**
   * Goes over to other terms: at once where no day that is over is touched. Otherwise the past is
   * priced anew bit by bit while all figures stay as they were, and then they change together.
   */
  change(to: InForce): void;
  stop(): void;
}

/** Terms, and the basis that is made of them. */
export interface InForce {
  readonly terms: Terms;
  readonly basis: AccountBasis;
}

export interface PricingParts {
  readonly store: BookStore;
  /** What was in force when the daemon last ran; undefined for new books. */
  readonly stored: Terms | undefined;
  /** What the configuration says. */
  readonly house: InForce;
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
  const { store, clock, logger, house, stored } = parts;
  // Mostly the file has not changed since: then its basis need not be made a second time.
  let current: InForce =
    stored === undefined || sameTerms(stored, house.terms)
      ? house
      : { terms: stored, basis: basisOf(stored) };
  const book = createAccountBook(store, current.basis);
  let timer: NodeJS.Timeout | undefined;
  let job: Repricing | undefined;

  function change(to: InForce): void {
    clearTimeout(timer);
    job = undefined;
    if (sameTerms(to.terms, current.terms)) return;
    const begun = beginRepricing(store, current.basis, to.basis, clock.now());
    if (begun.days.length === 0) {
      takeEffect(to, undefined);
      return;
    }
    logger.info(
      { days: begun.days.length },
      'tariffs or shares of past days changed: pricing them anew',
    );
    job = begun;
    timer = setTimeout(() => work(begun, to, 0), PAUSE);
  }

  function work(begun: Repricing, to: InForce, told: number): void {
    const tenth = Math.floor(begun.progress * TENTHS);
    try {
      if (begun.step()) {
        if (tenth > told) logger.info({ done: begun.progress }, 'pricing past days anew');
        timer = setTimeout(() => work(begun, to, tenth), PAUSE);
        return;
      }
      takeEffect(to, begun.summary());
      job = undefined;
    } catch (error) {
      logger.error({ err: error }, 'past days could not be priced anew; it is tried again');
      timer = setTimeout(() => work(begun, to, tenth), RETRY_AFTER);
    }
  }

  function takeEffect(to: InForce, summary: RepricingSummary | undefined): void {
    parts.inForce(to.terms, summary);
    current = to;
    book.reconfigure(to.basis);
    if (summary !== undefined) logger.info({ ...summary.site }, 'past days are priced anew');
  }

  if (stored === undefined) parts.inForce(house.terms, undefined);
  else change(house);

  return {
    book,
    get progress() {
      return job?.progress;
    },
    change,
    stop: () => clearTimeout(timer),
  };
}
