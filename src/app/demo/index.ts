import { fileURLToPath } from 'node:url';
import { type Config, formatProblems, loadConfig } from '../../config/index.ts';
import { type BrokerLink, createBrokerLink } from '../../mqtt/index.ts';
import { createChance, createSimulator, parseFault } from '../../simulator/index.ts';
import { createLogger } from '../../telemetry/index.ts';
import {
  type Clock,
  CodedError,
  DAY,
  HOUR,
  type Logger,
  later,
  SECOND,
  type Span,
} from '../../units/index.ts';
import { aborted } from '../aborted.ts';
import { createSystemClock } from '../clock.ts';
import { type Daemon, startDaemon } from '../daemon.ts';
import { openBooksFolder } from './books-folder.ts';
import { createDemoClock } from './clock.ts';
import { houseSpec } from './house-spec.ts';
import { createNotices } from './notices.ts';
import { type DemoOptions, readDemoOptions } from './options.ts';
import { pastTroubles } from './past-troubles.ts';
import { createProgress } from './progress.ts';
import { replay, send } from './replay.ts';

const FISH_ROOM = fileURLToPath(new URL('../../../config/fish-room.yaml', import.meta.url));
/** How often the simulated plugs and probes speak once the demo is live. */
const LIVE_INTERVAL = 10 * SECOND;

/** `ampulla demo`: a simulated fish room over real MQTT, weeks of it first, then live. */
export async function demoCommand(args: string[]): Promise<number> {
  const options = readDemoOptions(args);
  const books = openBooksFolder(options.keep);
  const stop = new AbortController();
  const fatal: unknown[] = [];
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop.abort());
  try {
    await runDemo(options, books.store, stop.signal, (error) => {
      fatal.push(error);
      stop.abort();
    });
  } finally {
    books.leave();
  }
  if (fatal.length > 0) throw fatal[0];
  return 0;
}

async function runDemo(
  options: DemoOptions,
  store: string,
  stopped: AbortSignal,
  onFatal: (error: unknown) => void,
): Promise<void> {
  const machine = createSystemClock();
  const now = machine.now();
  const history: Span = { from: later(now, -Math.round(options.weeks * 7 * DAY)), to: now };
  const clock = createDemoClock(history.from, machine);
  const config = demoConfig(options, store);
  const logger = createLogger({ level: 'error' });
  const progress = createProgress(process.stdout, history);
  const notices = createNotices(config, now);
  let filling = true;

  const spec = houseSpec(config);
  const chance = createChance(options.seed);
  const pastChance = chance.fork();
  const faultsFrom = later(now, -Math.round(options.faultHours * HOUR));
  const faults = options.faults.map((text) => parseFault(text, spec, chance, faultsFrom));
  const past = pastTroubles(spec, history, pastChance, faults);

  const daemon = await started({
    config,
    file: FISH_ROOM,
    clock,
    logger,
    onFatal,
    filling: () => (filling ? { done: progress.done(), until: clock.now() } : undefined),
    onMessage() {
      if (clock.taken()) daemon.tick();
    },
  });
  try {
    await play(daemon);
  } finally {
    await daemon.stop();
  }

  async function play({ page }: Daemon): Promise<void> {
    const publisher = await connectedTo(daemon, machine, logger);
    say(`\n  ${config.site.name}: a simulated fish room. The page: ${page}\n`);
    for (const fault of faults) say(notices.fault(fault));
    const simulator = createSimulator(spec, Object.values(config.feeds), {
      seed: options.seed,
      start: history.from,
      faults: [...past, ...faults],
      powerCuts: [later(history.from, Math.round(options.weeks * 2.5 * DAY))],
    });
    const parts = { simulator, publisher, daemon, clock, progress: progress.at, signal: stopped };
    let sent = 0;
    // While weeks are played minutes pass: play on until the rest is for the live house.
    while (machine.now() - simulator.house.at > LIVE_INTERVAL && !stopped.aborted) {
      sent += await replay(machine.now(), parts);
    }
    progress.end();
    clock.goLive();
    filling = false;
    daemon.tick();
    if (!stopped.aborted) {
      const took = ((machine.now() - now) / 1000).toFixed(0);
      const weeks = options.weeks === 1 ? '1 week' : `${options.weeks} weeks`;
      say(`  ${sent.toLocaleString('en')} messages of ${weeks} read in within ${took} s.`);
      for (const fault of past) say(notices.past(fault));
      say('  Live now; Ctrl-C ends it.');
    }
    const live = setInterval(() => {
      for (const message of simulator.advance(machine.now(), LIVE_INTERVAL)) {
        void send(publisher, message);
      }
    }, LIVE_INTERVAL);
    await aborted(stopped);
    clearInterval(live);
    await publisher.stop();
  }
}

const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

/** The daemon; what it says of its configuration file is put into the words of the demo. */
async function started(options: Parameters<typeof startDaemon>[0]): Promise<Daemon> {
  try {
    return await startDaemon(options);
  } catch (error) {
    if (!(error instanceof CodedError) || error.code !== 'AMP_WEB_PORT_TAKEN') throw error;
    throw new CodedError(error.code, error.message, {
      remedy:
        'another program may use that port: choose one with --port N, or any free with --port 0',
      cause: error,
    });
  }
}

/** The simulated house as a client of the daemon's broker. */
async function connectedTo(daemon: Daemon, clock: Clock, logger: Logger): Promise<BrokerLink> {
  const publisher = createBrokerLink({
    config: { url: `mqtt://127.0.0.1:${daemon.brokerPort}`, protocol: '3.1.1', session: 'fresh' },
    siteId: 'simulator',
    filters: [],
    clock,
    logger,
    receive: () => {},
  });
  await publisher.start();
  await publisher.connected(10_000);
  return publisher;
}

function demoConfig(options: DemoOptions, store: string): Config {
  const loaded = loadConfig(FISH_ROOM, {});
  if (!loaded.ok) {
    throw new CodedError('AMP_DEMO_CONFIG', formatProblems(loaded.problems), {
      remedy: 'the example configuration is part of the package: install it again',
    });
  }
  return {
    ...loaded.config,
    broker: { kind: 'embedded', port: 0 },
    store: { ...loaded.config.store, file: store },
    web: { enabled: true, port: options.port },
  };
}
