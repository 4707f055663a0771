import { type Delivery, isDue, type Outcome, settle, troubleKeyOf } from '../alerts/index.ts';
import type { Clock, Instant, Logger } from '../units/index.ts';
import type { Channel } from './channel.ts';

/** Where deliveries wait; the store of the books fits. */
export interface DeliveryStore {
  /** Waiting deliveries due at `dueBefore` or earlier. */
  deliveries(dueBefore: Instant): readonly Delivery[];
  saveDelivery(delivery: Delivery): void;
}

export interface Courier {
  /**
   * Sends what is due: call it after each commit, by timer, and at start. Never rejects; resolves
   * once every channel is idle. Called again meanwhile, it joins the work under way.
   */
  work(): Promise<void>;
}

/**
 * Carries waiting deliveries to their channels, one at a time per channel, and marks each one
 * afterward. A process killed between sending and marking sends that one again after the restart:
 * at least once, with the same delivery id, by which the other side can tell.
 *
 * What is told of one watch on one subject goes out in order: 'closed' never overtakes 'opened'.
 * After a failure the channel rests until the next call, so that one bad message does not keep
 * the others waiting.
 */
export function createCourier(parts: {
  channels: readonly Channel[];
  store: DeliveryStore;
  clock: Clock;
  logger: Logger;
}): Courier {
  const { channels, store, clock, logger } = parts;
  const busy = new Map<string, Promise<void>>();
  const byName = new Map(channels.map((channel) => [channel.name, channel]));

  return {
    async work() {
      try {
        refuseStrays();
      } catch (cause) {
        logger.error({ err: cause }, 'the store does not hand out waiting messages');
        return;
      }
      await Promise.all(channels.map(serve));
    },
  };

  function serve(channel: Channel): Promise<void> {
    const running = busy.get(channel.name);
    if (running !== undefined) return running;
    const run = empty(channel)
      .catch((cause: unknown) => {
        logger.error({ channel: channel.name, err: cause }, 'delivering messages broke off');
      })
      .finally(() => busy.delete(channel.name));
    busy.set(channel.name, run);
    return run;
  }

  async function empty(channel: Channel): Promise<void> {
    const sent = new Set<string>();
    for (;;) {
      const batch = dueOn(channel.name, store.deliveries(EVER), clock.now());
      // A store that does not keep the mark would have us send the same message for ever.
      const fresh = batch.filter(({ id }) => !sent.has(id));
      if (fresh.length === 0) return;
      for (const delivery of fresh) {
        sent.add(delivery.id);
        const outcome = await attempt(channel, delivery);
        const after = settle(delivery, outcome, clock.now(), channel.takes);
        store.saveDelivery(after);
        report(after);
        if (outcome.kind === 'failed') return;
      }
    }
  }

  function report({ id, channel, state, attempts, lastError }: Delivery): void {
    const fields = { delivery: id, channel, attempts, error: lastError };
    if (state === 'delivered') logger.info(fields, 'message delivered');
    else if (state === 'waiting') logger.warn(fields, 'message not delivered, will be tried again');
    else logger.error(fields, 'message given up');
  }

  /** Messages for a channel that the config no longer has. */
  function refuseStrays(): void {
    for (const delivery of store.deliveries(EVER)) {
      if (byName.has(delivery.channel)) continue;
      const why = `the configuration has no channel '${delivery.channel}' any more`;
      const after = settle(delivery, { kind: 'refused', why }, clock.now(), 'messages');
      store.saveDelivery(after);
      report(after);
    }
  }
}

const EVER = Number.MAX_SAFE_INTEGER as Instant;

async function attempt(channel: Channel, delivery: Delivery): Promise<Outcome> {
  try {
    return await channel.send(delivery);
  } catch (cause) {
    const name = cause instanceof Error ? cause.name : typeof cause;
    return { kind: 'failed', why: `the channel broke its promise not to throw: ${name}` };
  }
}

const CHANGES: readonly Delivery['change'][] = ['opened', 'worsened', 'closed'];

/** What may go out on a channel now, in order. */
function dueOn(channel: string, waiting: readonly Delivery[], now: Instant): Delivery[] {
  const lines = new Map<string, Delivery[]>();
  for (const delivery of waiting) {
    if (delivery.channel !== channel) continue;
    const key = troubleKeyOf(delivery.alert);
    const line = lines.get(key);
    if (line === undefined) lines.set(key, [delivery]);
    else line.push(delivery);
  }
  return [...lines.values()]
    .flatMap((line) => {
      line.sort(byStory);
      const held = line.findIndex((delivery) => !isDue(delivery, now));
      return held < 0 ? line : line.slice(0, held);
    })
    .sort((a, b) => a.created - b.created);
}

/** By the alert's start, which its id ends in, then by what happened to it. */
const byStory = (a: Delivery, b: Delivery): number =>
  a.alert === b.alert
    ? CHANGES.indexOf(a.change) - CHANGES.indexOf(b.change)
    : a.alert < b.alert
      ? -1
      : 1;
