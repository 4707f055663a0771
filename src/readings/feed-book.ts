import { type Basket, type Claim, decodeClaim, refuseClaim } from './claim.ts';
import type { FeedConfig } from './config.ts';
import { compileFeed, type Sources } from './feed.ts';
import { openPayload } from './payload.ts';
import type { Decoded, Message, Refusal } from './reading.ts';
import { fewestFilters } from './topic.ts';

/** All feeds of a config, compiled: what to subscribe to, and how each message is read. */
export interface FeedBook {
  /** MQTT topic filters to subscribe to; none is covered by another. */
  readonly filters: readonly string[];
  /**
   * Turns a message into readings in W, Wh, V, °C, % and a refusal for every value that was not taken.
   * Never throws, whatever the topic and the payload; keeps nothing of the message.
   */
  decode(message: Message): Decoded;
  /** Names of the feeds that read `topic`. */
  feedsOf(topic: string): readonly string[];
}

export interface FeedBookOptions {
  /** Larger payloads are refused unread, bytes. */
  readonly largestPayload?: number;
  /** How many concrete topics are remembered with what the feeds take from them. */
  readonly rememberedTopics?: number;
}

const NO_CLAIMS: readonly Claim[] = [];
const NONE: readonly never[] = [];

/**
 * Does once what does not depend on the payload: patterns, pointers, factors, and for every topic
 * seen the sources that it names.
 * @throws CodedError AMP_FEED_LEVEL, AMP_CALENDAR_ZONE for feeds that the schema would refuse.
 */
export function compileFeeds(
  feeds: Readonly<Record<string, FeedConfig>>,
  sources: { readonly plugs: Iterable<string>; readonly probes: Iterable<string> },
  options: FeedBookOptions = {},
): FeedBook {
  const { largestPayload = 64 * 1024, rememberedTopics = 20_000 } = options;
  const known: Sources = { plug: new Set(sources.plugs), probe: new Set(sources.probes) };
  const compiled = Object.entries(feeds).map(([name, feed]) => compileFeed(name, feed, known));
  const routes = new Map<string, readonly Claim[]>();

  function claimsOn(topic: string): readonly Claim[] {
    const remembered = routes.get(topic);
    if (remembered !== undefined) return remembered;
    const claims = compiled.flatMap((feed) => feed.claim(topic) ?? []);
    // Topics that nobody claims are not remembered, so that they cannot crowd out the others.
    if (claims.length === 0) return NO_CLAIMS;
    if (routes.size >= rememberedTopics) {
      for (const oldest of routes.keys()) {
        routes.delete(oldest);
        break;
      }
    }
    routes.set(topic, claims);
    return claims;
  }

  return {
    filters: fewestFilters(compiled.map((feed) => feed.filter)),
    feedsOf: (topic) => claimsOn(topic).map((claim) => claim.feed),
    decode(message) {
      const claims = claimsOn(message.topic);
      if (claims.length === 0) return { readings: NONE, refusals: [unclaimed(message)] };
      const basket: Basket = { readings: [], refusals: [] };
      const size = message.payload.byteLength;
      if (size > largestPayload) {
        for (const claim of claims) {
          refuseClaim(claim, message, 'too-large', `${size} bytes`, basket);
        }
        return basket;
      }
      const payload = openPayload(message.payload);
      for (const claim of claims) decodeClaim(claim, message, payload, basket);
      return basket;
    },
  };
}

const unclaimed = (message: Message): Refusal => ({
  reason: 'unclaimed-topic',
  topic: message.topic,
  feed: undefined,
  measure: undefined,
  source: undefined,
  found: '',
  at: message.arrived,
});
