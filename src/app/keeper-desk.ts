import { alertText } from '../alerts/index.ts';
import type { Config } from '../config/index.ts';
import type { BrokerLink } from '../mqtt/index.ts';
import type { Message } from '../readings/index.ts';
import type { Store } from '../storage/index.ts';
import { type Clock, type Instant, type Logger, later, MINUTE } from '../units/index.ts';
import type { Group } from './group.ts';
import type { HeatLane } from './heat-lane.ts';
import {
  attend,
  type KeeperRequest,
  type Outcome,
  REQUEST_HOLDS,
  readRequest,
} from './requests.ts';
import type { WatchLane } from './watch-lane.ts';

/** Where keepers ask the running daemon for something, and are answered. */
export interface KeeperDesk {
  /** The MQTT topic on which it is asked; answers go out beside it. */
  readonly topic: string;
  hear(message: Message): void;
  /** What the page asks; as with commands, it is on the disk before the answer says so. */
  ask(request: KeeperRequest): Outcome;
  /** What commands have asked since. An answer is told when what it says is on the disk. */
  attendCommands(): void;
}

export function createKeeperDesk(parts: {
  root: string;
  store: Store;
  group: Group;
  watches: WatchLane;
  heat: HeatLane;
  config: () => Config;
  publish: BrokerLink['publish'];
  /** Something was added to the group. */
  added: () => void;
  /** Commits what was added; false when the store did not take it. */
  commit: () => boolean;
  clock: Clock;
  logger: Logger;
}): KeeperDesk {
  const { root, store, group, watches, heat, config, clock, logger } = parts;
  const topic = `${root}/requests`;

  /** Keepers at the page read names; commands and programs go by ids. */
  function nameOf(id: string): string {
    const { tanks } = config();
    if (Object.hasOwn(tanks, id)) return `‘${watches.writer.name({ kind: 'tank', id })}’`;
    const alert = watches.alerts().find((live) => live.id === id);
    return alert === undefined
      ? `‘${id}’`
      : `‘${alertText(alert, watches.writer, clock.now()).title}’`;
  }

  function answerTo(asked: unknown, by: 'page' | 'command' | 'mqtt'): Outcome {
    const request = readRequest(asked);
    if (typeof request === 'string') return { done: false, words: request };
    const now = clock.now();
    const { site, tanks, devices, probes, alerts } = config();
    const outcome = attend(request, {
      watches,
      heat,
      now,
      tendingMinutes: alerts.tending_min,
      hasTank: (id) => Object.hasOwn(tanks, id),
      has: ({ kind, id }) =>
        Object.hasOwn({ device: devices, probe: probes, tank: tanks }[kind], id),
      by,
      called: by === 'page' ? nameOf : (id) => id,
      clockTime: clockTimeOf(site),
      date: dateOf(site),
    });
    if (outcome.done && request.do === 'begin-tending') {
      const minutes = request.minutes ?? alerts.tending_min;
      heat.disturb(request.tank, { from: now, to: later(now, minutes * MINUTE) });
    }
    logger.info({ request, ...outcome }, 'a keeper asked');
    parts.added();
    return outcome;
  }

  return {
    topic,
    hear({ payload, retained }) {
      // What the broker kept was meant for another moment.
      if (retained) return;
      const { done, words } = answerTo(parsed(payload), 'mqtt');
      const answer = JSON.stringify({ done, words });
      // When it fails there is no connection, and nobody to hear it.
      parts.publish(`${root}/answers`, answer, { qos: 1, retain: false }).catch(() => {});
    },
    ask(request) {
      const outcome = answerTo(request, 'page');
      if (!outcome.done || parts.commit()) return outcome;
      return { done: false, words: `${NOT_ON_DISK} ${outcome.words}` };
    },
    attendCommands() {
      for (const { number, at, request } of store.requests()) {
        const now = clock.now();
        const isStale = Math.abs(now - at) > REQUEST_HOLDS;
        const outcome = isStale
          ? { done: false, words: 'it was asked too long ago; ask again' }
          : answerTo(request, 'command');
        const { done, words } = outcome;
        group.answer({ number, at: now, done, words });
        parts.added();
      }
    },
  };
}

const NOT_ON_DISK = 'the disk takes nothing now, so that a restart may forget that';

/** Undefined for what is no JSON. */
function parsed(payload: Uint8Array): unknown {
  try {
    return JSON.parse(new TextDecoder().decode(payload));
  } catch {
    return undefined;
  }
}

const clockTimeOf = ({ locale, time_zone: timeZone }: Config['site']) => {
  const format = new Intl.DateTimeFormat(locale, { timeZone, timeStyle: 'short' });
  return (at: Instant): string => format.format(at);
};

const dateOf = ({ locale, time_zone: timeZone }: Config['site']) => {
  const format = new Intl.DateTimeFormat(locale, { timeZone, dateStyle: 'medium' });
  return (at: Instant): string => format.format(at);
};
