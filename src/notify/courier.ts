import { type Delivery, isDue, settle, troubleKeyOf } from '../alerts/index.ts';
import { type Clock, DAY, type Instant, type Logger } from '../units/index.ts';
import type { Attempt, Channel } from './channel.ts';
import { type ChannelHealth, type Pulse, takePulse } from './health.ts';
import { superseded } from './supersede.ts';

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
  /** How each channel fares, in the order of the channels. */
  channelHealth(): readonly ChannelHealth[];
}

/**
 * Carries waiting deliveries to their channels, one at a time per channel, and marks each one
 * afterward. A process killed between sending and marking sends that one again after the restart:
 * at least once, with the same delivery id, by which the other side can tell.
 *
 * What is told of one watch on one subject goes out in order: 'closed' never overtakes 'opened'.
 * What a newer waiting message tells as well is not sent any more. After a failure the channel
 * rests until the next call, so that one bad message does not keep the others waiting; after three
 * in a row, for a minute. The first success after that sends all that has waited.
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
  let pulses: ReadonlyMap<string, Pulse> | undefined;

  return {
    async work() {
      try {
        takePulses();
        refuseStrays();
      } catch (cause) {
        logger.error({ err: cause }, 'the store does not hand out waiting messages');
        return;
      }
      await Promise.all(channels.map(serve));
    },
    channelHealth: () => [...takePulses().values()].map((pulse) => pulse.health()),
  };

  /** Once; what waits in the store says how the channels fared before the start. */
  function takePulses(): ReadonlyMap<string, Pulse> {
    if (pulses !== undefined) return pulses;
    const waiting = store.deliveries(EVER);
    pulses = new Map(
      channels.map(({ name }) => [name, takePulse(name, waitingOn(name, waiting), clock)]),
    );
    return pulses;
  }

  function serve(channel: Channel): Promise<void> {
    const running = busy.get(channel.name);
    if (running !== undefined) return running;
    const run = empty(channel, takePulses().get(channel.name) as Pulse)
      .catch((cause: unknown) => {
        logger.error({ channel: channel.name, err: cause }, 'delivering messages broke off');
      })
      .finally(() => busy.delete(channel.name));
    busy.set(channel.name, run);
    return run;
  }

  async function empty(channel: Channel, pulse: Pulse): Promise<void> {
    const sent = new Set<string>();
    let catchingUp = false;
    while (!pulse.resting) {
      const waiting = withoutSuperseded(inOrder(waitingOn(channel.name, store.deliveries(EVER))));
      const batch = dueOf(waiting, catchingUp ? EVER : clock.now());
      // A store that does not keep the mark would have us send the same message for ever.
      const fresh = batch.filter(({ id }) => !sent.has(id));
      if (fresh.length === 0) return;
      for (const delivery of fresh) {
        sent.add(delivery.id);
        const attempt = await attemptOn(channel, delivery);
        pulse.note(attempt);
        const after = judged(channel, delivery, attempt);
        store.saveDelivery(after);
        if (after.state === 'given-up') pulse.gaveUp();
        report(after, attempt.kind === 'delivered' ? attempt.caveat : undefined);
        if (attempt.kind === 'failed') return;
        if (pulse.recovered) {
          catchingUp = true;
          break;
        }
      }
    }
  }

  function judged(channel: Channel, delivery: Delivery, attempt: Attempt): Delivery {
    const now = clock.now();
    const after = settle(delivery, attempt, now, 'states');
    return after.state === 'waiting' && channel.takes === 'messages' && isStale(after, now)
      ? { ...after, state: 'given-up' }
      : after;
  }

  function withoutSuperseded(waiting: readonly Delivery[]): Delivery[] {
    const gone = superseded(waiting);
    return waiting.filter((delivery) => {
      const by = gone.get(delivery.id);
      if (by === undefined) return true;
      const { id, channel } = delivery;
      store.saveDelivery({ ...delivery, state: 'given-up', lastError: `told by ${by}` });
      logger.info({ delivery: id, channel, by }, 'message superseded by a newer one');
      return false;
    });
  }

  function report({ id, channel, state, attempts, lastError }: Delivery, caveat?: string): void {
    const fields = { delivery: id, channel, attempts, error: lastError ?? caveat };
    if (caveat !== undefined) logger.error(fields, 'message delivered, but not to everybody');
    else if (state === 'delivered') logger.info(fields, 'message delivered');
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

/** News of three days ago is no news. */
const STALE_AFTER = 3 * DAY;
/** A clock that was wrong at the start must not make a message old before it was tried in earnest. */
const EARNEST_ATTEMPTS = 8;
/** With the waits of the alerts room this many attempts take a little longer, whatever the clock says. */
const ATTEMPTS_OF_THREE_DAYS = 300;

const isStale = ({ created, attempts }: Delivery, now: Instant): boolean =>
  attempts >= ATTEMPTS_OF_THREE_DAYS ||
  (now - created > STALE_AFTER && attempts >= EARNEST_ATTEMPTS);

async function attemptOn(channel: Channel, delivery: Delivery): Promise<Attempt> {
  try {
    return await channel.send(delivery);
  } catch (cause) {
    const name = cause instanceof Error ? cause.name : typeof cause;
    return { kind: 'failed', why: `the channel broke its promise not to throw: ${name}` };
  }
}

const waitingOn = (channel: string, waiting: readonly Delivery[]): Delivery[] =>
  waiting.filter((delivery) => delivery.channel === channel);

/** By age, and what is told of one watch on one subject in its order even where the clock was set. */
function inOrder(waiting: readonly Delivery[]): Delivery[] {
  return [...lines(waiting).values()]
    .flatMap((line) => {
      let latest = Number.NEGATIVE_INFINITY;
      return line.sort(byStory).map((delivery) => {
        latest = Math.max(latest, delivery.created);
        return { delivery, place: latest };
      });
    })
    .sort((a, b) => a.place - b.place)
    .map(({ delivery }) => delivery);
}

/** What may go out now: of each line nothing behind one that still has to wait. */
function dueOf(ordered: readonly Delivery[], now: Instant): Delivery[] {
  const held = new Set<string>();
  return ordered.filter((delivery) => {
    const key = troubleKeyOf(delivery.alert);
    if (!isDue(delivery, now)) held.add(key);
    return !held.has(key);
  });
}

function lines(waiting: readonly Delivery[]): Map<string, Delivery[]> {
  const byKey = new Map<string, Delivery[]>();
  for (const delivery of waiting) {
    const key = troubleKeyOf(delivery.alert);
    const line = byKey.get(key);
    if (line === undefined) byKey.set(key, [delivery]);
    else line.push(delivery);
  }
  return byKey;
}

/** By the alert's start, which its id ends in, then by what happened to it, then by age. */
function byStory(a: Delivery, b: Delivery): number {
  if (a.alert !== b.alert) return a.alert < b.alert ? -1 : 1;
  return chapter(a) - chapter(b) || a.created - b.created;
}

const chapter = ({ change }: Delivery): number =>
  change === 'opened' ? 0 : change === 'closed' ? 2 : 1;
