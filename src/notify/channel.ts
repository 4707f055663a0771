import type { Delivery, Outcome, Recipient } from '../alerts/index.ts';

/** One way to the keeper. */
export interface Channel extends Recipient {
  /**
   * Tries once, within its own time limit. Never rejects: what went wrong is in the outcome, in
   * words fit for the log, without secrets.
   */
  send(delivery: Delivery): Promise<Outcome>;
}
