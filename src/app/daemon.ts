import { dirname, resolve } from 'node:path';
import { type Config, compareConfigs, formatProblems, loadConfig } from '../config/index.ts';
import { createHeartbeat } from '../notify/index.ts';
import { createRefusalTally, type Message, type Refusal } from '../readings/index.ts';
import { openStore, type Store } from '../storage/index.ts';
import { type Clock, type Instant, type Logger, MINUTE } from '../units/index.ts';
import { type RoomView, startWeb, type WebServer } from '../web/index.ts';
import { openBroker, rootOf } from './broker.ts';
import { STEP_WORTH_ACTING_ON, type SteppingClock } from './clock.ts';
import { createCommitter } from './committer.ts';
import { Group } from './group.ts';
import { type House, prepareHouse } from './house.ts';
import { createKeeperDesk } from './keeper-desk.ts';
import { createLanes } from './lanes.ts';
import type { Memory } from './memory.ts';
import { createMessenger } from './messenger.ts';
import { monthCosts } from './month-cost.ts';
import { createNightLane } from './night-lane.ts';
import { createPriceIntake } from './price-intake.ts';
import { createPricing } from './pricing.ts';
import { rateNow } from './rate-now.ts';
import { repricingRecord } from './repriced.ts';
import { roomView } from './room-model.ts';
import { startSchedule } from './schedule.ts';
import type { Terms } from './terms.ts';

export interface DaemonOptions {
  readonly config: Config;
  /** The file that `config` was read from: read again on reload; its folder holds relative paths. */
  readonly file: string;
  readonly clock: Clock | SteppingClock;
  readonly logger: Logger;
  /** Something is wrong that only a new process can mend. */
  readonly onFatal: (error: unknown) => void;
  /** How far a history that is being read in has come; the demo's. */
  readonly filling?: () => RoomView['filling'];
  /** Called when a message has been taken in; the demo's clock goes by it. */
  readonly onMessage?: () => void;
}

export interface Daemon {
  /** Where the page is served; undefined when it is turned off. */
  readonly page: string | undefined;
  /** Port of the embedded broker; undefined with one of the keeper's own. */
  readonly brokerPort: number | undefined;
  /** Messages taken in since the start. */
  readonly received: number;
  /** Reckons, looks at all watches, tells what is due. The schedule does it; so does the demo. */
  tick(): void;
  /** Reads the configuration again. False when it is refused: then nothing has changed. */
  reload(): boolean;
  stop(): Promise<void>;
}

/**
 *   broker ─ message ─▶ feeds ─ readings ─┬─▶ meters ─▶ postings ──┐
 *                          │              ├─▶ climate slots ───────┤
 *                          └─ refusals ───┼────────────────────────┼─▶ group ─▶ store ◀─ prices
 *                                         └─▶ sights               │             │
 *   every 10 s:  reckoned devices ─────────────────────────────────┤             │
 *                sights ─▶ watches ─▶ alerts ─▶ deliveries ────────┘             │
 *                             ▲                                                 │
 *   once a day:   heat lost by each tank ◀──────────── climate, entries ◀───────┤
 *   hourly from the evening on: tonight's cost ◀─ heat, nights before, prices ◀──┤
 *   after each commit:  deliveries ─▶ MQTT, webhooks        page ◀─ accounts ◀───┘
 */
export async function startDaemon(options: DaemonOptions): Promise<Daemon> {
  const store = openStore({ file: resolve(dirname(options.file), options.config.store.file) });
  try {
    return await startWith(store, options);
  } catch (error) {
    store.close();
    throw error;
  }
}

async function startWith(store: Store, options: DaemonOptions): Promise<Daemon> {
  const { clock, logger } = options;
  let house = prepareHouse(options.config);
  const { config } = house;
  const group = new Group();
  const memory = { read: store.states };
  const refusals = createRefusalTally();
  const lanes = createLanes(house, { memory, store, group, logger, now: clock.now() });
  const { costs, heat, watches } = lanes;
  const prices = createPriceIntake(store, logger);
  let received = 0;
  let lastLook = clock.now();
  let lastReading: Instant | undefined;

  const committer = createCommitter({
    group,
    store,
    logger,
    groupTime: config.store.group_time_s * 1000,
    gather: lanes.gather,
    committed(slots) {
      for (const slot of slots) books.touched(slot);
      void messenger.work();
    },
    onFatal: options.onFatal,
  });

  const pricing = createPricing({
    store,
    stored: memory.read('app').get('terms') as Terms | undefined,
    house,
    clock,
    logger,
    inForce(terms, summary) {
      const record = summary && repricingRecord(summary, clock.now());
      if (record !== undefined) group.reprice(record);
      group.save('app', 'terms', terms);
      committer.added();
    },
  });
  const { book: books } = pricing;
  const monthCost = monthCosts(books);
  const nights = createNightLane(house, { memory, store, group, logger, books, fits: heat.fits });

  function receive(message: Message): void {
    received += 1;
    if (message.topic === desk.topic) desk.hear(message);
    else if (house.priceFeeds.claims(message.topic)) receivePrices(message);
    else receiveReadings(message);
    committer.added();
    options.onMessage?.();
  }

  function receivePrices(message: Message): void {
    const { prices: published, refusals: refused } = house.priceFeeds.decode(message);
    refuse(refused, message.arrived);
    prices.take(published, message.arrived);
  }

  function receiveReadings(message: Message): void {
    const { readings, refusals: refused } = house.feeds.decode(message);
    refuse(refused, message.arrived);
    for (const reading of readings) lanes.take(reading);
    if (readings.length > 0 && !message.retained) lastReading = message.arrived;
  }

  function refuse(refused: readonly Refusal[], arrived: Instant): void {
    for (const refusal of refused) {
      group.refuse(refusal);
      const mention = refusals.note(refusal, arrived);
      if (mention.worthLogging) {
        logger.warn({ ...refusal, unmentioned: mention.unmentioned }, 'a value was refused');
      }
    }
  }

  const messenger = createMessenger({
    config,
    store,
    publish: (...message) => broker.link.publish(...message),
    clock,
    logger,
  });
  const desk = createKeeperDesk({
    root: rootOf(config),
    store,
    group,
    watches,
    heat,
    config: () => house.config,
    publish: (...message) => broker.link.publish(...message),
    added: () => committer.added(),
    commit: committer.commit,
    clock,
    logger,
  });
  const filters = (): readonly string[] => [...house.filters, desk.topic];
  const broker = await openBroker({
    config,
    filters: filters(),
    formerFilters: formerFilters(memory),
    clock,
    logger,
    receive,
    onConnected: () => messenger.restate(watches.alerts(), watches.writer),
  });
  group.save('app', 'filters', { filters: filters() });

  function tick(): void {
    const now = clock.now();
    committer.keepUp(now);
    prices.retry(now);
    lastLook = now;
    lanes.look(now, {
      link: broker.link.state,
      recipients: messenger.recipients,
      channels: messenger.channelHealth(),
      costs: { nights: nights.nights, month: monthCost(house.calendar, now) },
    });
    committer.added();
    void messenger.work();
    // Last, since nothing urgent waits for it; what it keeps goes with the next commit.
    nights.learn(now);
  }

  /** For those who wait for the heartbeat. */
  function whatIsWrong(): string | undefined {
    if (committer.failing) return 'the store takes nothing';
    if (broker.link.state.connection !== 'connected') return 'no connection to the broker';
    return clock.now() - lastLook > LOOKS_WITHIN ? 'the watches have stopped looking' : undefined;
  }

  function hour(): void {
    watches.save();
    store.tidy(clock.now());
  }

  function reload(): boolean {
    const loaded = loadConfig(options.file, process.env);
    if (!loaded.ok) {
      logger.error(
        { problems: formatProblems(loaded.problems) },
        'the configuration was refused; the one in force stays',
      );
      return false;
    }
    const changes = compareConfigs(house.config, loaded.config);
    const later = changes.filter((change) => change.restart);
    if (later.length > 0) {
      logger.error(
        { changes: later },
        'these changes need a restart; the configuration in force stays',
      );
      return false;
    }
    let next: House;
    try {
      next = prepareHouse(loaded.config);
    } catch (error) {
      logger.error({ err: error }, 'the configuration was refused; the one in force stays');
      return false;
    }
    committer.commit();
    messenger.reconfigure(loaded.config);
    house = next;
    lanes.refit(house, clock.now(), messenger.recipients);
    nights.refit(house);
    pricing.change(house);
    group.save('app', 'filters', { filters: filters() });
    committer.added();
    void broker.link.subscribe(filters());
    logger.info({ changes }, 'the configuration was read again and is in force');
    return true;
  }

  const view = (): RoomView =>
    roomView({
      house,
      books,
      rate: rateNow(house.basis, books, store, clock.now()),
      repricing: pricing.progress,
      latest: watches.latest,
      alerts: watches.alerts(),
      snoozes: watches.snoozes(clock.now()),
      tendings: watches.tendings(clock.now()),
      tonight: nights.tonight,
      writer: watches.writer,
      now: clock.now(),
      broker: {
        connected: broker.link.state.connection === 'connected',
        since: broker.link.state.since,
      },
      lastReading,
      filling: options.filling?.(),
    });

  if ('onStep' in clock) {
    clock.onStep((by, before) => {
      logger.warn({ by_ms: by }, 'the clock of this machine was set');
      if (by > STEP_WORTH_ACTING_ON) costs.interrupt(before);
    });
  }

  const web = await opened();

  /** What must be there before the daemon runs; when it cannot be had, nothing stays open. */
  async function opened(): Promise<WebServer | undefined> {
    try {
      await broker.start();
      return config.web.enabled
        ? await startWeb({ port: config.web.port, logger, view, ask: desk.ask })
        : undefined;
    } catch (error) {
      await broker.stop();
      committer.close();
      throw error;
    }
  }

  const { heartbeat: beats } = config.notify;
  const heartbeat = beats && createHeartbeat(beats, { whatIsWrong, clock, logger });
  heartbeat?.start();
  const schedule = startSchedule({ second: desk.attendCommands, tick, hour }, logger);
  tick();
  logger.info(
    { site: config.site.id, page: web?.address, feeds: Object.keys(config.feeds).length },
    'ampulla is running',
  );

  return {
    page: web?.address,
    brokerPort: broker.port,
    get received() {
      return received;
    },
    tick,
    reload,
    async stop() {
      schedule.stop();
      heartbeat?.stop();
      pricing.stop();
      await web?.stop();
      await broker.stop();
      watches.save();
      committer.close();
      await messenger.stop();
      store.close();
      logger.info({}, 'stopped; everything received is in the books');
    },
  };
}

/** Watches look every ten seconds. */
const LOOKS_WITHIN = 2 * MINUTE;

const formerFilters = (memory: Memory): readonly string[] =>
  (memory.read('app').get('filters') as { filters: readonly string[] } | undefined)?.filters ?? [];
