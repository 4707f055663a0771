import type { PriceFeedConfig } from './config.ts';
import type { FeedFault } from './feed-faults.ts';

type Places = Pick<PriceFeedConfig, 'topic' | 'list' | 'start' | 'end' | 'minutes' | 'price'>;

/** What no single key shows: prices whose time nobody says, or says twice. */
export function faultsOfPriceFeed(feed: Places): FeedFault[] {
  const faults: FeedFault[] = [];
  const fault = (key: keyof Places, message: string): void => {
    faults.push({ path: [key], message });
  };
  if (feed.topic.startsWith('$share/')) fault('topic', 'a topic filter without $share');
  if (feed.list !== undefined && feed.start === undefined) {
    fault('list', 'a start for the entries of the list: they cannot all be the price of now');
  }
  if (feed.start !== undefined && feed.price === undefined) {
    fault('start', 'a place for the price as well: a bare number has no start');
  }
  if (feed.end !== undefined && feed.start === undefined) {
    fault('end', 'a start as well, or minutes instead of the end');
  }
  if ((feed.end === undefined) === (feed.minutes === undefined)) {
    fault('minutes', 'either end or minutes: how long a price holds');
  }
  return faults;
}
