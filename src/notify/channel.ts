import type { Delivery, Outcome, Recipient } from '../alerts/index.ts';

/** How one attempt ended, with what a keeper can do about it. */
export type Attempt =
  | { readonly kind: 'delivered' /** Not everybody has it. */; readonly caveat?: string }
  | Extract<Outcome, { kind: 'refused' }>
  | (Extract<Outcome, { kind: 'failed' }> & {
      /** Waiting mends nothing: somebody has to. It is tried again all the same. */
      readonly permanent?: true;
      readonly remedy?: string;
    });

/** One way to the keeper. */
export interface Channel extends Recipient {
  /**
   * Tries once, within its own time limit. Never rejects: what went wrong is in the attempt, in
   * words fit for the log, without secrets.
   */
  send(delivery: Delivery): Promise<Attempt>;
}
