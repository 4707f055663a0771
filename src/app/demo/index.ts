import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Config, formatProblems, loadConfig } from '../../config/index.ts';
import { createBrokerLink } from '../../mqtt/index.ts';
import { createChance, createSimulator, parseFault } from '../../simulator/index.ts';
import { createLogger } from '../../telemetry/index.ts';
import { CodedError, DAY, HOUR, later, SECOND, type Span } from '../../units/index.ts';
import { aborted } from '../aborted.ts';
import { createSystemClock } from '../clock.ts';
import { startDaemon } from '../daemon.ts';
import { createDemoClock } from './clock.ts';
import { houseSpec } from './house-spec.ts';
import { type DemoOptions, readDemoOptions } from './options.ts';
import { createProgress } from './progress.ts';
import { replay, send } from './replay.ts';

const FISH_ROOM = fileURLToPath(new URL('../../../config/fish-room.yaml', import.meta.url));
/** How often the simulated plugs and probes speak once the demo is live. */
const LIVE_INTERVAL = 10 * SECOND;

/** `ampulla demo`: a simulated fish room over real MQTT, weeks of it first, then live. */
export async function demoCommand(args: string[]): Promise<number> {
  const options = readDemoOptions(args);
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-demo-'));
  const stop = new AbortController();
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop.abort());
  try {
    await runDemo(options, folder, stop);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return stop.signal.reason instanceof CodedError ? 1 : 0;
}

async function runDemo(options: DemoOptions, folder: string, stop: AbortController): Promise<void> {
  const machine = createSystemClock();
  const now = machine.now();
  const history: Span = { from: later(now, -options.weeks * 7 * DAY), to: now };
  const clock = createDemoClock(history.from, machine);
  const config = demoConfig(options, folder);
  const logger = createLogger({ level: 'error' });
  const progress = createProgress(process.stdout, history);
  let filling = true;

  const spec = houseSpec(config);
  const chance = createChance(options.seed);
  const faultsFrom = later(now, -options.faultHours * HOUR);
  const faults = options.faults.map((text) => parseFault(text, spec, chance, faultsFrom));

  const daemon = await startDaemon({
    config,
    file: FISH_ROOM,
    clock,
    logger,
    onFatal: (error) => stop.abort(error),
    filling: () => (filling ? { done: progress.done(), until: clock.now() } : undefined),
    onMessage: clock.taken,
  });
  const publisher = createBrokerLink({
    config: { url: `mqtt://127.0.0.1:${daemon.brokerPort}`, protocol: '3.1.1', session: 'fresh' },
    siteId: 'simulator',
    filters: [],
    clock: machine,
    logger,
    receive: () => {},
  });
  await publisher.start();
  await publisher.connected(10_000);

  say(`\n  ${config.site.name}: a simulated fish room. The page: ${daemon.page}\n`);
  for (const fault of faults) {
    say(`  fault since ${new Date(fault.from).toLocaleTimeString()}: ${describe(fault)}`);
  }
  const simulator = createSimulator(spec, Object.values(config.feeds), {
    seed: options.seed,
    start: history.from,
    faults,
    powerCuts: [later(history.from, options.weeks * 2.5 * DAY)],
  });
  const parts = {
    simulator,
    publisher,
    daemon,
    clock,
    progress: progress.at,
    signal: stop.signal,
  };
  let sent = 0;
  // While weeks are played minutes pass: play on until the rest is for the live house.
  while (machine.now() - simulator.house.at > LIVE_INTERVAL && !stop.signal.aborted) {
    sent += await replay(machine.now(), parts);
  }
  progress.end();
  clock.goLive();
  filling = false;
  daemon.tick();
  if (!stop.signal.aborted) {
    const took = ((machine.now() - now) / 1000).toFixed(0);
    say(
      `  ${sent.toLocaleString('en')} messages of ${options.weeks} weeks in ${took} s. Live now; Ctrl-C ends it.`,
    );
  }
  const live = setInterval(() => {
    for (const message of simulator.advance(machine.now(), LIVE_INTERVAL)) {
      void send(publisher, message);
    }
  }, LIVE_INTERVAL);
  await aborted(stop.signal);
  clearInterval(live);
  await publisher.stop();
  await daemon.stop();
}

const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

const describe = (fault: { kind: string; device?: string; plug?: string }): string =>
  [fault.kind, fault.device ?? fault.plug].filter((word) => word !== undefined).join(' ');

function demoConfig(options: DemoOptions, folder: string): Config {
  const loaded = loadConfig(FISH_ROOM, {});
  if (!loaded.ok) {
    throw new CodedError('AMP_DEMO_CONFIG', formatProblems(loaded.problems), {
      remedy: 'the example configuration is part of the package: install it again',
    });
  }
  return {
    ...loaded.config,
    broker: { kind: 'embedded', port: 0 },
    store: { ...loaded.config.store, file: join(folder, 'ampulla.db') },
    web: { enabled: true, port: options.port },
  };
}
