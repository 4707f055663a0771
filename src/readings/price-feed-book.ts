import type { PriceFeedConfig } from './config.ts';
import { openPayload } from './payload.ts';
import { compilePriceFeed, type PriceBasket, type PublishedPrice, refusal } from './price-feed.ts';
import type { Message, Refusal } from './reading.ts';
import { compileTopic, fewestFilters } from './topic.ts';

export interface DecodedPrices {
  /** By time within each feed; those of one feed do not overlap. */
  readonly prices: readonly PublishedPrice[];
  readonly refusals: readonly Refusal[];
}

/** All price feeds of a config, compiled. */
export interface PriceFeedBook {
  /** MQTT topic filters to subscribe to; none is covered by another. */
  readonly filters: readonly string[];
  /** Whether a message on `topic` is for a price feed. Asked for every message that comes. */
  claims(topic: string): boolean;
  /**
   * Turns a message into published prices and a refusal for each that was not taken. Never throws,
   * whatever the topic and the payload; keeps nothing of the message.
   */
  decode(message: Message): DecodedPrices;
}

/** Larger payloads are refused unread, bytes: a week of quarter-hours with all that is told of each. */
const LARGEST_PAYLOAD = 256 * 1024;

/** @throws CodedError AMP_CALENDAR_ZONE for feeds that the schema would refuse. */
export function compilePriceFeeds(feeds: Readonly<Record<string, PriceFeedConfig>>): PriceFeedBook {
  const compiled = Object.entries(feeds).map(([name, feed]) => ({
    name,
    topic: compileTopic(feed.topic),
    isPattern: /[+#]/.test(feed.topic),
    decode: compilePriceFeed(name, feed),
  }));
  const plain = new Set(
    compiled.filter(({ isPattern }) => !isPattern).map(({ topic }) => topic.filter),
  );
  const patterns = compiled.filter(({ isPattern }) => isPattern);

  return {
    filters: fewestFilters(compiled.map(({ topic }) => topic.filter)),
    claims: (topic) =>
      plain.has(topic) || patterns.some((pattern) => pattern.topic.match(topic) !== undefined),
    decode(message) {
      const claiming = compiled.filter(({ topic }) => topic.match(message.topic) !== undefined);
      const basket: PriceBasket = { prices: [], refusals: [] };
      const size = message.payload.byteLength;
      if (claiming.length === 0) {
        basket.refusals.push(refusal(undefined, message, 'unclaimed-topic', ''));
      } else if (size > LARGEST_PAYLOAD) {
        for (const { name } of claiming) {
          basket.refusals.push(refusal(name, message, 'too-large', `${size} bytes`));
        }
      } else {
        const payload = openPayload(message.payload);
        for (const { decode } of claiming) decode(message, payload, basket);
      }
      return basket;
    },
  };
}
