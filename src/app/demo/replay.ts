import type { BrokerLink } from '../../mqtt/index.ts';
import type { Outgoing, Simulator } from '../../simulator/index.ts';
import { type Instant, later, MINUTE, type Millis } from '../../units/index.ts';
import type { Daemon } from '../daemon.ts';
import type { DemoClock } from './clock.ts';

/** How often plugs and probes speak in replayed weeks when nothing changes. */
const REPORT_EVERY = (10 * MINUTE) as Millis;
/** How finely moments are told apart in replayed weeks. */
const MOMENT = (MINUTE / 2) as Millis;
/** So much is played between two glances at how far everyone has come. */
const STRETCH = (10 * MINUTE) as Millis;
/** So many messages may be on their way: enough to keep all parties busy, few enough to hold. */
const MOST_UNDER_WAY = 500;

export interface ReplayParts {
  readonly simulator: Simulator;
  readonly publisher: BrokerLink;
  readonly daemon: Daemon;
  readonly clock: DemoClock;
  readonly progress: (at: Instant, messages: number) => void;
  readonly signal: AbortSignal;
}

/**
 * Plays the simulated house from where it stands up to `until`, as fast as everyone can. Gives the
 * number of messages.
 */
export async function replay(until: Instant, parts: ReplayParts): Promise<number> {
  const { simulator, daemon, clock, progress, signal } = parts;
  const already = daemon.received;
  let sent = 0;
  while (simulator.house.at < until && !signal.aborted) {
    const stretchEnd = Math.min(later(simulator.house.at, STRETCH), until);
    let flushed: Promise<void>[] = [];
    while (simulator.house.at < stretchEnd) {
      const moment = Math.min(later(simulator.house.at, MOMENT), stretchEnd) as Instant;
      const messages = simulator.advance(moment, REPORT_EVERY);
      for (const message of messages) {
        clock.sending(message.at, 1);
        flushed.push(send(parts.publisher, message));
      }
      sent += messages.length;
      // A message that the broker keeps takes longer on its way: let none of a later moment overtake.
      if (messages.some(({ retain }) => retain)) {
        await Promise.all(flushed);
        flushed = [];
        await caughtUp(daemon, already + sent, signal);
      }
    }
    await Promise.all(flushed);
    await caughtUp(daemon, already + sent - MOST_UNDER_WAY, signal);
    progress(simulator.house.at, sent);
  }
  await caughtUp(daemon, already + sent, signal);
  clock.arrived(simulator.house.at);
  return sent;
}

export function send(publisher: BrokerLink, { topic, payload, retain }: Outgoing): Promise<void> {
  // A message that is lost on the way is a reading lost, as in a real house.
  return publisher.publish(topic, payload, { retain, qos: 0 }).catch(() => {});
}

async function caughtUp(daemon: Daemon, count: number, signal: AbortSignal): Promise<void> {
  while (daemon.received < count && !signal.aborted) {
    await new Promise((resolve) => setImmediate(resolve));
  }
}
