import { DAY, type Instant, MINUTE, type MicroPerKwh, SLOT } from '../units/index.ts';
import type { PriceFeedConfig } from './config.ts';
import { describeFound, printable } from './found.ts';
import { documentOf, NOT_JSON, type Payload, textOf } from './payload.ts';
import { compilePointer, follow, type Path } from './pointer.ts';
import type { Message, Refusal, RefusalReason } from './reading.ts';
import { type Clockwork, compileClockwork, OLDEST } from './stamp.ts';
import { readNumber, words } from './value.ts';

/** A published price of a span of whole slots. The tariff room calls it SlotPrice. */
export interface PublishedPrice {
  readonly series: string;
  readonly from: Instant;
  readonly to: Instant;
  readonly price: MicroPerKwh;
}

/** Where price feeds put what they decode. */
export interface PriceBasket {
  readonly prices: PublishedPrice[];
  readonly refusals: Refusal[];
}

/** A week of quarter-hours is 672. */
const MOST_PRICES = 1_000;

/** In units of currency for a kilowatt-hour: far beyond what any market has cleared at. */
const HIGHEST = 100_000;

/** No market publishes farther ahead; what is stamped so has its time in another unit. */
const AHEAD = 10 * DAY;

const LONGEST = DAY;

/** Micro-units for a kilowatt-hour in one of each unit. */
const FACTORS = { 'per-kwh': 1e6, 'per-mwh': 1e3, 'cents-per-kwh': 1e4 } as const;

/** Reads every price of one message; each ends as a price or a refusal. */
export type PriceDecoder = (message: Message, payload: Payload, into: PriceBasket) => void;

/** @throws CodedError AMP_CALENDAR_ZONE for a zone that the schema would refuse. */
export function compilePriceFeed(name: string, feed: PriceFeedConfig): PriceDecoder {
  const series = feed.series ?? name;
  const list = place(feed.list);
  const start = place(feed.start);
  const end = place(feed.end);
  const price = place(feed.price);
  const length = (feed.minutes ?? 0) * MINUTE;
  const clock = compileClockwork(feed.time);
  const wall = compileClockwork({ ...feed.time, zone: undefined });
  const noValue = words(feed.no_value);
  const factor = FACTORS[feed.unit];

  function readPrice(raw: unknown): MicroPerKwh | RefusalReason {
    const number = readNumber(raw, noValue, false);
    if (typeof number === 'string') return number;
    const micro = Math.round(number * factor) + 0;
    return Math.abs(micro) <= HIGHEST * 1e6 ? (micro as MicroPerKwh) : 'implausible';
  }

  /**
   * The first moment after `from` that an end may mean. Where the clock is changed, it may be told
   * by the clock before or after the change, or be the second of two that look alike.
   */
  function endAfter(from: Instant, nearest: Instant, end: unknown, start: unknown): Instant {
    const second = clock(end, (from + DAY) as Instant) ?? nearest;
    const byWall = from + ((wall(end, from) ?? 0) - (wall(start, from) ?? 0));
    const after = [nearest, second, byWall].filter((at) => at > from);
    return (after.length === 0 ? nearest : Math.min(...after)) as Instant;
  }

  /** @param near when it should begin: decides which of two equal wall times is meant */
  function readEntry(entry: unknown, message: Message, near: Instant): PublishedPrice | Refused {
    const raw = price === undefined ? entry : follow(entry, price);
    const micro = readPrice(raw);
    if (typeof micro === 'string') return { reason: micro, found: raw === undefined ? entry : raw };
    const { arrived } = message;
    if (start === undefined) {
      if (message.retained) return { reason: 'stale-retained', found: raw };
      const from = (Math.floor(arrived / length) * length) as Instant;
      return { series, from, to: (from + length) as Instant, price: micro };
    }
    const begins = follow(entry, start);
    const from = readTime(clock, begins, near, arrived);
    if (typeof from === 'string') return { reason: from, found: begins ?? entry };
    let to = (from + length) as Instant;
    if (end !== undefined) {
      const ends = follow(entry, end);
      const read = readTime(clock, ends, from, arrived);
      if (typeof read === 'string') return { reason: read, found: ends ?? entry };
      to = endAfter(from, read, ends, begins);
    }
    const isWhole = from % SLOT === 0 && to % SLOT === 0;
    if (!isWhole || to <= from || to - from > LONGEST) return { reason: 'bad-span', found: begins };
    return { series, from, to, price: micro };
  }

  return (message, payload, into) => {
    const refuse = (reason: RefusalReason, found: unknown): void => {
      into.refusals.push(refusal(name, message, reason, describeFound(found)));
    };
    const isBare = list === undefined && price === undefined;
    const document = isBare ? textOf(payload) : documentOf(payload);
    if (document === NOT_JSON) {
      const text = textOf(payload);
      refuse(noValue.has(text.toLowerCase()) ? 'no-value' : 'not-json', text);
      return;
    }
    const entries = list === undefined ? [document] : follow(document, list);
    if (!Array.isArray(entries)) {
      refuse(whyNoList(entries), entries === undefined ? document : entries);
      return;
    }
    if (entries.length > MOST_PRICES) {
      refuse('too-many', entries);
      return;
    }
    const read: PublishedPrice[] = [];
    let near = message.arrived;
    for (const entry of entries) {
      const found = readEntry(entry, message, near);
      if ('reason' in found) {
        refuse(found.reason, found.found);
      } else {
        read.push(found);
        near = found.to;
      }
    }
    keepOneForEachTime(read, into.prices, ({ from, to, price }) =>
      refuse('contradicted', `${price / 1e6} from ${iso(from)} to ${iso(to)}`),
    );
  };
}

interface Refused {
  readonly reason: RefusalReason;
  readonly found: unknown;
}

const place = (pointer: string | undefined): Path | undefined =>
  pointer === undefined ? undefined : compilePointer(pointer);

function whyNoList(found: unknown): RefusalReason {
  if (found === undefined) return 'nothing-there';
  return found === null ? 'no-value' : 'not-a-list';
}

function readTime(
  clock: Clockwork,
  raw: unknown,
  near: Instant,
  arrived: Instant,
): Instant | 'bad-time' | 'from-the-future' {
  const at = clock(raw, near);
  if (at === undefined || !(at >= OLDEST)) return 'bad-time';
  return at - arrived > AHEAD ? 'from-the-future' : (at as Instant);
}

/** By time; the same price said twice is one, and of two that differ the first in the list stays. */
function keepOneForEachTime(
  read: PublishedPrice[],
  into: PublishedPrice[],
  contradicted: (price: PublishedPrice) => void,
): void {
  read.sort((a, b) => a.from - b.from);
  let kept: PublishedPrice | undefined;
  for (const next of read) {
    if (kept === undefined || kept.to <= next.from) {
      into.push(next);
      kept = next;
    } else if (kept.from !== next.from || kept.to !== next.to || kept.price !== next.price) {
      contradicted(next);
    }
  }
}

const iso = (at: Instant): string => new Date(at).toISOString();

export const refusal = (
  feed: string | undefined,
  message: Message,
  reason: RefusalReason,
  found: string,
): Refusal => ({
  reason,
  topic: message.topic,
  feed,
  measure: undefined,
  source: undefined,
  found: printable(found),
  at: message.arrived,
});
