import { CodedError, type Instant, type Span } from '../units/index.ts';

/** What a store with any sense does not take: callers have checked it, in words of their own. */
export function requireRecord(fits: boolean, what: string, record: object): void {
  if (fits) return;
  throw new CodedError('AMP_STORE_RECORD', `${what} cannot be kept: ${JSON.stringify(record)}`, {
    remedy:
      'spans end after they begin, numbers are whole, texts are not empty; nothing was changed. This is a mistake in the program: please report it with this message',
  });
}

export const isSpan = ({ from, to }: Span): boolean =>
  Number.isSafeInteger(from) && Number.isSafeInteger(to) && from < to;

/** What a keeper entered by hand stays on record when it is taken back. */
export interface Withdrawal {
  readonly at: Instant;
  readonly reason: string;
}

export function requireStanding<T extends { readonly withdrawn: Withdrawal | undefined }>(
  found: T | undefined,
  what: string,
): asserts found is T {
  if (found === undefined) {
    throw new CodedError('AMP_STORE_NO_RECORD', `there is no ${what}`, {
      remedy: 'look its number up in the list; nothing was changed',
    });
  }
  if (found.withdrawn !== undefined) {
    const when = new Date(found.withdrawn.at).toISOString();
    throw new CodedError(
      'AMP_STORE_WITHDRAWN',
      `${what} was withdrawn already, at ${when}: ${found.withdrawn.reason}`,
      { remedy: 'nothing needs to be done; make a new one if it should hold after all' },
    );
  }
}

export const withdrawalOf = (at: number | null, reason: string | null): Withdrawal | undefined =>
  at === null ? undefined : { at: at as Instant, reason: reason ?? '' };

/** What became of records that were handed in: new, in place of another value, or known already. */
export interface Taken {
  readonly added: number;
  readonly changed: number;
  readonly same: number;
}
