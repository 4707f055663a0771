import { describeFound, printable } from './found.ts';
import { documentOf, NOT_JSON, type Payload, textOf } from './payload.ts';
import { follow, type Path } from './pointer.ts';
import type { Measure, Message, Reading, Refusal, RefusalReason } from './reading.ts';
import type { StampReader } from './stamp.ts';
import type { ValueReader, Words } from './value.ts';

/** A place in the payload, what is read there, and the plug or probe that it belongs to. */
export interface Tap {
  readonly from: 'plug' | 'probe';
  readonly id: string;
  /** Undefined when the config has no such plug or probe. */
  readonly source: Refusal['source'];
  readonly measure: Measure;
  /** Of a counter, where its plug has several. */
  readonly register: string | undefined;
  /** Undefined for the bare payload. */
  readonly path: Path | undefined;
  readonly read: ValueReader;
}

/** One feed's hold on one concrete topic: everything that does not depend on the payload. */
export interface Claim {
  readonly feed: string;
  readonly taps: readonly Tap[];
  readonly stamp: { readonly path: Path; readonly read: StampReader } | undefined;
  readonly noValue: Words;
}

/** Where claims put what they decode. */
export interface Basket {
  readonly readings: Reading[];
  readonly refusals: Refusal[];
}

/** Reads every value that `claim` takes from the message; each ends as a reading or a refusal. */
export function decodeClaim(claim: Claim, message: Message, payload: Payload, into: Basket): void {
  let at = message.arrived;
  if (claim.stamp !== undefined) {
    const document = documentOf(payload);
    const stamp = document === NOT_JSON ? undefined : follow(document, claim.stamp.path);
    const read = claim.stamp.read(stamp, message.arrived);
    if (typeof read === 'string') {
      const reason = document === NOT_JSON ? whyNotJson(claim, payload) : read;
      refuseClaim(claim, message, reason, foundAt(stamp, payload), into);
      return;
    }
    at = read;
  }
  for (const tap of claim.taps) {
    if (tap.source === undefined) {
      into.refusals.push(refusal(claim, tap, message, 'unknown-source', printable(tap.id)));
      continue;
    }
    const document = tap.path === undefined ? textOf(payload) : documentOf(payload);
    const there =
      tap.path === undefined || document === NOT_JSON ? document : follow(document, tap.path);
    const value = there === NOT_JSON ? whyNotJson(claim, payload) : tap.read(there);
    if (typeof value === 'string') {
      into.refusals.push(refusal(claim, tap, message, value, foundAt(there, payload)));
    } else if (message.retained && isStaleWhenRetained(tap.measure)) {
      into.refusals.push(refusal(claim, tap, message, 'stale-retained', foundAt(there, payload)));
    } else {
      const { from, id, measure, register } = tap;
      const { arrived, retained } = message;
      into.readings.push(
        register === undefined
          ? { from, id, measure, value, at, arrived, retained }
          : { from, id, measure, register, value, at, arrived, retained },
      );
    }
  }
}

/** Refuses all that the claim would have read, for a reason that lies in the message as a whole. */
export function refuseClaim(
  claim: Claim,
  message: Message,
  reason: RefusalReason,
  found: string,
  into: Basket,
): void {
  for (const tap of claim.taps) {
    into.refusals.push(
      tap.source === undefined
        ? refusal(claim, tap, message, 'unknown-source', printable(tap.id))
        : refusal(claim, tap, message, reason, found),
    );
  }
}

/** A counter from before still is a baseline, and presence is what retaining is for. */
const isStaleWhenRetained = (measure: Measure): boolean =>
  measure !== 'counter' && measure !== 'presence';

/** Sensors that are off the air often send the bare word where they otherwise send JSON. */
const whyNotJson = (claim: Claim, payload: Payload): RefusalReason =>
  claim.noValue.has(textOf(payload).toLowerCase()) ? 'no-value' : 'not-json';

/** Where nothing stands at the pointer, the payload shows what is there instead. */
const foundAt = (there: unknown, payload: Payload): string =>
  there === undefined || there === NOT_JSON ? printable(textOf(payload)) : describeFound(there);

const refusal = (
  claim: Claim,
  tap: Tap,
  message: Message,
  reason: RefusalReason,
  found: string,
): Refusal => ({
  reason,
  topic: message.topic,
  feed: claim.feed,
  measure: tap.measure,
  source: tap.source,
  found,
  at: message.arrived,
});
