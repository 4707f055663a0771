import type { Alert, Delivery } from '../../src/alerts/index.ts';
import { Group } from '../../src/app/group.ts';
import type { House } from '../../src/app/house.ts';
import { createLanes, type Lanes } from '../../src/app/lanes.ts';
import { createNightLane, type NightLane } from '../../src/app/night-lane.ts';
import type { LinkState } from '../../src/mqtt/index.ts';
import type { Outgoing } from '../../src/simulator/index.ts';
import { openStore, type Store } from '../../src/storage/index.ts';
import { HOUR, type Instant, type Logger, later, MINUTE } from '../../src/units/index.ts';

/** The daemon's lanes over a real store, without a broker before them and a messenger behind. */
export interface QuietDaemon {
  readonly lanes: Lanes;
  readonly nights: NightLane;
  receive(message: Outgoing, at: Instant): void;
  /** Everything looks, and now and then commits. Gives the alerts newly told. */
  look(now: Instant): Alert[];
  /** A keeper says that he works on a tank. */
  tend(tank: string, now: Instant): void;
  /** … that he has put in a new device. */
  renew(device: string, now: Instant): void;
  /** The broker is gone, or back. */
  link(connected: boolean, now: Instant): void;
  /**
   * Stops and starts anew from what is stored. Killed, it loses what its sights have learned since the
   * last hour; all else a daemon has committed within the second.
   */
  restart(how: 'stopped' | 'killed', now: Instant): void;
  close(): void;
}

const COMMIT_EVERY = 30 * MINUTE;
const TIDY_EVERY = 6 * HOUR;
/** One listener that wants the state of every alert, whatever its severity and the hour. */
const RECIPIENTS = [{ name: 'laboratory', takes: 'states' }] as const;
/** The house's tariff has no blocks to be asked for. */
const NO_BLOCKS = { blockUse: () => undefined };

export function startQuietDaemon(
  house: House,
  parts: { file: string; now: Instant; logger: Logger },
): QuietDaemon {
  const { logger } = parts;
  const store: Store = openStore({ file: parts.file });
  const opened = new Map<string, Alert>();
  const retained = new Map<string, Outgoing>();
  const encoder = new TextEncoder();
  let told: Alert[] = [];
  let group = listening();
  let lanes = started(parts.now);
  let nights = startedNights();
  let connectedSince: Instant | undefined = parts.now;
  let committed = parts.now;
  let saved = parts.now;
  let tidied = parts.now;

  /** A group whose deliveries are heard as they are put in. */
  function listening(): Group {
    const fresh = new Group();
    const tell = fresh.tell.bind(fresh);
    fresh.tell = (alerts: readonly Alert[], deliveries: readonly Delivery[]) => {
      for (const alert of alerts) opened.set(alert.id, alert);
      for (const { change, alert: id } of deliveries) {
        const alert = opened.get(id);
        if (change === 'opened' && alert !== undefined) told.push(alert);
      }
      opened.clear();
      tell(alerts, deliveries);
    };
    return fresh;
  }

  function started(now: Instant): Lanes {
    return createLanes(house, { memory: { read: store.states }, store, group, logger, now });
  }

  function startedNights(): NightLane {
    const { fits } = lanes.heat;
    const memory = { read: store.states };
    return createNightLane(house, { memory, store, group, fits, books: NO_BLOCKS, logger });
  }

  function deliver({ topic, payload }: Outgoing, isRetained: boolean, at: Instant): void {
    const message = { topic, payload: encoder.encode(payload), retained: isRetained, arrived: at };
    const { readings, refusals } = house.feeds.decode(message);
    for (const refusal of refusals) group.refuse(refusal);
    for (const reading of readings) lanes.take(reading);
  }

  function subscribe(now: Instant): void {
    for (const message of retained.values()) deliver(message, true, now);
  }

  function commit(now: Instant): void {
    committed = now;
    lanes.gather();
    if (group.empty) return;
    store.commit(group.batch());
    group.clear();
  }

  const linkState = (now: Instant): LinkState => ({
    connection: connectedSince === undefined ? 'lost' : 'connected',
    since: connectedSince ?? now,
    lastMessage: undefined,
    reconnects: 0,
    refusedSubscriptions: [],
    protocol: undefined,
    trouble: undefined,
    failedReceives: 0,
  });

  return {
    get lanes() {
      return lanes;
    },
    get nights() {
      return nights;
    },
    receive(message, at) {
      if (message.retain) retained.set(message.topic, message);
      if (connectedSince !== undefined) deliver(message, false, at);
    },
    look(now) {
      told = [];
      const link = linkState(now);
      lanes.look(now, {
        link,
        recipients: RECIPIENTS,
        channels: [],
        costs: { nights: nights.nights, month: undefined },
      });
      nights.learn(now);
      if (now - saved >= HOUR) {
        saved = now;
        lanes.watches.save();
        commit(now);
        if (now - tidied >= TIDY_EVERY) {
          tidied = now;
          store.tidy(now);
        }
      } else if (now - committed >= COMMIT_EVERY) commit(now);
      return told;
    },
    tend(tank, now) {
      const until = later(now, house.config.alerts.tending_min * MINUTE);
      lanes.watches.beginTending(tank, until, now, 'laboratory');
      lanes.heat.disturb(tank, { from: now, to: until });
    },
    renew(device, now) {
      lanes.watches.forget('device', device, now);
    },
    link(connected, now) {
      connectedSince = connected ? now : undefined;
      if (connected) subscribe(now);
    },
    restart(how, now) {
      if (how === 'stopped') lanes.watches.save();
      commit(now);
      group = listening();
      lanes = started(now);
      nights = startedNights();
      connectedSince = now;
      subscribe(now);
    },
    close() {
      commit(saved);
      store.close();
    },
  };
}
