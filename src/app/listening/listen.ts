import { existsSync } from 'node:fs';
import { readFile, writeFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { type Config, formatProblems, loadConfig } from '../../config/index.ts';
import { type BrokerLink, createBrokerLink, type LinkTarget } from '../../mqtt/index.ts';
import {
  compileFeeds,
  createSurvey,
  guess,
  type SketchOptions,
  sketchFeeds,
} from '../../readings/index.ts';
import { type Clock, CodedError, type Logger } from '../../units/index.ts';
import { rootOf } from '../broker.ts';
import { WRONG_CONFIG } from '../commands/config-argument.ts';
import { FIRST_ROOM, frameFor } from './frame.ts';
import { listenReport } from './report.ts';

export interface ListenOptions {
  /** mqtt://host:port or mqtts://host:port; without it, the broker of the config. */
  readonly broker?: string | undefined;
  readonly user?: string | undefined;
  readonly passwordFile?: string | undefined;
  readonly caFile?: string | undefined;
  /** Its feeds are compared with what is heard. */
  readonly config?: string | undefined;
  readonly seconds?: number | undefined;
  /** An MQTT topic filter. */
  readonly topic?: string | undefined;
  /** Where the sketch is written; never over a file that is there. */
  readonly out?: string | undefined;
}

interface Screen {
  readonly isTTY?: boolean | undefined;
  write(text: string): unknown;
}

export interface ListenIo {
  /** What was found. */
  readonly stdout: Screen;
  /** Progress and trouble. */
  readonly stderr: Screen;
  readonly env: NodeJS.ProcessEnv;
  readonly clock: Clock;
  /** Ends the watching early; what was heard until then is told all the same. */
  readonly enough?: AbortSignal | undefined;
}

const NOTHING_HEARD = 1;
const NO_ANSWER = 'AMP_MQTT_NO_ANSWER';
const CONNECT_WITHIN_MS = 15_000;
/** About 50 MB at the very most, however busy the broker is. */
const SURVEY_SIZE = { places: 5_000, samples: 200 };

/**
 * Watches a broker for a while and says which numbers it carries, what each probably is, which of
 * them no feed of the config reads, and how feeds for them could be written.
 *
 * @returns the exit code: 0; 1 when nothing was heard; 78 when the config has errors.
 * @throws CodedError AMP_LISTEN_* for options that do not go together, AMP_MQTT_* when the broker
 * cannot be reached.
 */
export async function listen(options: ListenOptions, io: ListenIo): Promise<number> {
  const { topic = '#', seconds = 60, out } = options;
  if (!(seconds > 0 && seconds <= 86_400)) {
    throw new CodedError('AMP_LISTEN_SECONDS', `cannot listen for ${seconds} seconds`, {
      remedy: 'give --seconds a number between 1 and 86400',
    });
  }
  if (out !== undefined && existsSync(out)) throw alreadyThere(out);
  let config: Config | undefined;
  if (options.config !== undefined) {
    const loaded = loadConfig(options.config, io.env);
    if (!loaded.ok) {
      io.stderr.write(`${formatProblems(loaded.problems)}\n`);
      return WRONG_CONFIG;
    }
    config = loaded.config;
  }

  const survey = createSurvey(SURVEY_SIZE);
  const heard = { messages: 0, topics: new Set<string>() };
  const ownTopics = config === undefined ? 'ampulla/' : `${rootOf(config)}/`;
  let giveUp = (_trouble: CodedError): void => {};
  const hopeless = new Promise<never>((_, reject) => {
    giveUp = reject;
  });
  hopeless.catch(() => {});
  const target = await targetOf(options, config);
  const link = createBrokerLink({
    config: target,
    siteId: 'listen',
    filters: [topic],
    clock: io.clock,
    logger: SILENT,
    onState({ connection, trouble }) {
      // Someone waits in front of the screen; only an unanswered CONNECT is worth another try.
      if (connection === 'connecting' && trouble !== undefined && trouble.code !== NO_ANSWER) {
        giveUp(trouble);
      }
    },
    receive(message) {
      if (message.topic.startsWith(ownTopics)) return;
      heard.messages += 1;
      if (heard.topics.size < SURVEY_SIZE.places) heard.topics.add(message.topic);
      survey.add(message);
    },
  });
  try {
    await link.start();
    await Promise.race([link.connected(CONNECT_WITHIN_MS), hopeless]);
    if (link.state.refusedSubscriptions.length > 0) throw refused(topic);
    await watch(link, seconds, heard, io);
  } finally {
    await link.stop();
  }
  if (heard.messages === 0) {
    io.stderr.write(
      `Nothing was heard on '${topic}'. Do plugs and probes publish to this broker? Some report only every few minutes: try --seconds 600.\n`,
    );
    return NOTHING_HEARD;
  }

  const found = guess(survey.observations(), {
    ...(config === undefined ? {} : { zone: config.site.time_zone, book: feedBookOf(config) }),
  });
  const { stdout } = io;
  stdout.write(`${listenReport(found, config !== undefined)}\n\n`);
  if (survey.overlooked() > 0) {
    stdout.write(
      `Not all numbers fitted into memory: --topic watches fewer topics, in more than one turn.\n\n`,
    );
  }
  const sketch =
    config === undefined
      ? frameFor(target, absolute(options.passwordFile), localZone()) +
        sketchFeeds(found, { room: FIRST_ROOM })
      : sketchFeeds(found, namesIn(config));
  if (out === undefined) {
    stdout.write(`A sketch for your configuration, to be read before it is used:\n\n${sketch}`);
  } else {
    try {
      await writeSketch(out, sketch);
    } catch (error) {
      // What took a minute to hear is not thrown away for a full disk.
      stdout.write(sketch);
      throw error;
    }
    stdout.write(`A sketch for your configuration was written to ${out}; read it before use.\n`);
  }
  return 0;
}

async function targetOf(options: ListenOptions, config: Config | undefined): Promise<LinkTarget> {
  const passing = {
    // Never the daemon's own id: the broker would end the daemon's connection for ours.
    client_id: `ampulla-listen-${Math.random().toString(36).slice(2, 8)}`,
    session: 'fresh',
  } as const;
  if (options.broker !== undefined) {
    return {
      ...passing,
      url: options.broker,
      ...(options.user === undefined ? {} : { user: options.user }),
      ...(options.passwordFile === undefined
        ? {}
        : { password: await readPassword(options.passwordFile) }),
      ...(options.caFile === undefined ? {} : { ca_file: options.caFile }),
    };
  }
  const broker = config?.broker;
  if (broker === undefined) {
    throw new CodedError('AMP_LISTEN_BROKER', 'which broker shall be listened to?', {
      remedy: 'give --broker mqtt://host:port, or --config FILE with a broker in it',
    });
  }
  return broker.kind === 'external'
    ? { ...broker, ...passing }
    : { ...passing, url: `mqtt://127.0.0.1:${broker.port}`, protocol: '3.1.1' };
}

const absolute = (path: string | undefined): string | undefined =>
  path === undefined ? undefined : resolve(path);

const localZone = (): string => new Intl.DateTimeFormat().resolvedOptions().timeZone;

async function readPassword(path: string): Promise<string> {
  try {
    return (await readFile(path, 'utf8')).replace(/\r?\n$/, '');
  } catch (cause) {
    throw new CodedError('AMP_LISTEN_PASSWORD', `cannot read the password from '${path}'`, {
      remedy: 'check the path of --password-file and its permissions',
      cause,
    });
  }
}

/** Resolves when the time is over, telling meanwhile how far it is. */
function watch(
  link: BrokerLink,
  seconds: number,
  heard: { readonly messages: number; readonly topics: ReadonlySet<string> },
  { stderr, clock, enough }: ListenIo,
): Promise<void> {
  const ends = clock.monotonic() + seconds * 1000;
  const everyMs = stderr.isTTY ? 500 : 10_000;

  function tell(): void {
    const left = Math.max(0, Math.ceil((ends - clock.monotonic()) / 1000));
    const away = link.state.connection === 'connected' ? '' : '  (connection lost, trying again)';
    const line = `${left} s left, ${heard.topics.size} topics, ${heard.messages} messages${away}`;
    stderr.write(stderr.isTTY ? `\r\u001b[2K${line}` : `${line}\n`);
  }

  return new Promise((resolve) => {
    const finish = (): void => {
      clearInterval(ticking);
      clearTimeout(ending);
      enough?.removeEventListener('abort', finish);
      tell();
      if (stderr.isTTY) stderr.write('\n');
      resolve();
    };
    const ticking = setInterval(tell, everyMs);
    const ending = setTimeout(finish, seconds * 1000);
    enough?.addEventListener('abort', finish);
    tell();
    if (enough?.aborted) finish();
  });
}

const feedBookOf = ({ feeds, plugs, probes }: Config) =>
  compileFeeds(feeds, { plugs: Object.keys(plugs), probes: Object.keys(probes) });

function namesIn({ feeds, plugs, probes, rooms }: Config): SketchOptions {
  const [room] = Object.keys(rooms);
  return {
    feeds: Object.keys(feeds),
    plugs: Object.keys(plugs),
    probes: Object.keys(probes),
    ...(room === undefined ? {} : { room }),
  };
}

async function writeSketch(path: string, sketch: string): Promise<void> {
  try {
    await writeFile(path, sketch, { flag: 'wx' });
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'EEXIST') throw alreadyThere(path);
    throw new CodedError('AMP_LISTEN_OUT', `cannot write '${path}': ${(cause as Error).message}`, {
      remedy: 'give --out a new file in a folder that this user may write',
      cause,
    });
  }
}

const alreadyThere = (path: string): CodedError =>
  new CodedError('AMP_LISTEN_OUT', `'${path}' is already there and is not written over`, {
    remedy: 'give --out the name of a new file',
  });

const refused = (topic: string): CodedError =>
  new CodedError('AMP_LISTEN_TOPIC', `the broker does not let us listen to '${topic}'`, {
    remedy: 'give --topic a topic filter that this user may read',
  });

/** The progress line and the final error tell all that someone at a screen wants to know. */
const SILENT: Logger = { debug() {}, info() {}, warn() {}, error() {} };
