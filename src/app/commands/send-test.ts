import { parseArgs } from 'node:util';
import type { Config } from '../../config/index.ts';
import { type BrokerLink, createBrokerLink } from '../../mqtt/index.ts';
import { type Attempt, type Channel, createChannels, sendTest } from '../../notify/index.ts';
import { type Clock, CodedError, type Logger, printable } from '../../units/index.ts';
import { rootOf } from '../broker.ts';
import { createSystemClock } from '../clock.ts';
import { configArgument, WRONG_CONFIG } from './config-argument.ts';

const HOW = 'ampulla send-test FILE [CHANNEL]';
const NOT_TAKEN = 1;
const CONNECT_WITHIN_MS = 15_000;
/** What happens is in the attempts. */
const SILENT: Logger = { debug: () => {}, info: () => {}, warn: () => {}, error: () => {} };

/**
 * `ampulla send-test FILE [CHANNEL]`: one message marked as a test through each channel, or through
 * one of them. Exit code 0 only when every message was taken by everybody.
 * @throws CodedError AMP_APP_USAGE, AMP_APP_CHANNEL
 */
export async function sendTestCommand(args: string[]): Promise<number> {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  const [file, wanted, extra] = positionals;
  if (extra !== undefined) {
    throw new CodedError('AMP_APP_USAGE', `send-test takes no '${extra}'`, { remedy: HOW });
  }
  const given = configArgument('send-test', file === undefined ? [] : [file], HOW);
  if (given === undefined) return WRONG_CONFIG;
  const { config } = given.loaded;
  const clock = createSystemClock();
  const broker = brokerFor(config, clock);
  const channels = createChannels(config.notify, {
    publish: broker.publish,
    root: rootOf(config),
    logger: SILENT,
  });
  const reachable = channels.filter(
    ({ name }) => name !== 'mqtt' || wanted === name || config.broker.kind === 'external',
  );
  if (reachable.length < channels.length) {
    process.stdout.write('mqtt: left out: the embedded broker runs inside the daemon only\n');
  }
  const chosen = chosenOf(reachable, wanted);
  try {
    const attempts = await Promise.all(
      chosen.map(async (channel) => {
        const attempt = await sendTest(channel, config.site, clock.now());
        process.stdout.write(`${told(channel, attempt)}\n`);
        return attempt;
      }),
    );
    return attempts.every(isTaken) ? 0 : NOT_TAKEN;
  } finally {
    await broker.stop();
  }
}

function chosenOf(channels: readonly Channel[], wanted: string | undefined): readonly Channel[] {
  const chosen = channels.filter(({ name }) => wanted === undefined || name === wanted);
  if (chosen.length > 0) return chosen;
  const names = channels.map(({ name }) => name).join(', ');
  throw new CodedError(
    'AMP_APP_CHANNEL',
    wanted === undefined
      ? 'the configuration has no channel'
      : `the configuration has no channel '${wanted}'`,
    { remedy: names === '' ? 'see notify in docs/configuration.md' : `it has ${names}` },
  );
}

const isTaken = (attempt: Attempt): boolean =>
  attempt.kind === 'delivered' && attempt.caveat === undefined;

function told({ name }: Channel, attempt: Attempt): string {
  if (attempt.kind === 'delivered') {
    return `${name}: ${printable(attempt.caveat ?? 'taken')}`;
  }
  const why = `${name}: not taken: ${printable(attempt.why)}`;
  const remedy = attempt.kind === 'failed' ? attempt.remedy : undefined;
  return remedy === undefined ? why : `${why}\n  ${remedy}`;
}

/** Connects only when there is something to publish; beside the daemon, under a name of its own. */
function brokerFor(config: Config, clock: Clock) {
  let link: BrokerLink | undefined;

  async function publish(...message: Parameters<BrokerLink['publish']>): Promise<void> {
    if (config.broker.kind !== 'external') {
      throw new CodedError(
        'AMP_APP_EMBEDDED_BROKER',
        'the embedded broker runs inside the daemon only',
        { remedy: 'name one of the other channels' },
      );
    }
    link = createBrokerLink({
      config: { ...config.broker, client_id: `ampulla-test-${process.pid}`, session: 'fresh' },
      siteId: config.site.id,
      filters: [],
      clock,
      logger: SILENT,
      receive: () => {},
    });
    await link.start();
    await link.connected(CONNECT_WITHIN_MS);
    await link.publish(...message);
  }

  return { publish, stop: async () => link?.stop() };
}
