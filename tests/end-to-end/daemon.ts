import { type ChildProcess, spawn } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, vi } from 'vitest';
import { createSystemClock } from '../../src/app/clock.ts';
import { type Daemon, type DaemonOptions, startDaemon } from '../../src/app/daemon.ts';
import { formatProblems, loadConfig } from '../../src/config/index.ts';
import { type LogBook, logBook } from '../mqtt/link-under-test.ts';
import type { Site } from './site.ts';

/** How long something may take on a busy machine before it counts as not happening. */
export const IN_TIME = { timeout: 20_000, interval: 20 };
vi.setConfig({ testTimeout: 60_000 });

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export interface InProcess extends Pick<LogBook, 'lines'> {
  readonly daemon: Daemon;
  /** Errors that the daemon took for its end. */
  readonly fatal: unknown[];
}

/** Starts the daemon in this process, where its clock is in the test's hands. */
export async function startHere(
  site: Site,
  options: Partial<Pick<DaemonOptions, 'clock' | 'onMessage'>> = {},
): Promise<InProcess> {
  const loaded = loadConfig(site.file, process.env);
  if (!loaded.ok) throw new Error(formatProblems(loaded.problems));
  const { lines, logger } = logBook();
  const fatal: unknown[] = [];
  const daemon = await startDaemon({
    config: loaded.config,
    file: site.file,
    clock: createSystemClock(),
    logger,
    onFatal: (error) => fatal.push(error),
    ...options,
  });
  return { daemon, lines, fatal };
}

export interface LogLine {
  readonly level: number;
  readonly msg: string;
  readonly page?: string;
  readonly port?: number;
  readonly [field: string]: unknown;
}

export interface Ended {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** The command line in a process of its own, which can be killed. */
export interface Child {
  readonly pid: number;
  /** What it has logged so far. */
  lines(): LogLine[];
  /** Resolves with the first log line of this message; fails when the process ends before it. */
  says(message: string): Promise<LogLine>;
  /** Resolves with the address of the page once the daemon runs. */
  page(): Promise<string>;
  signal(name: NodeJS.Signals): void;
  /** Resolves when it has ended; fails when it does not. */
  ends(): Promise<Ended>;
  kill(): Promise<void>;
}

export function runCli(...args: string[]): Child {
  const child = spawn(process.execPath, [...program(), ...args], {
    cwd: ROOT,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  alive.add(child);
  let stdout = '';
  let stderr = '';
  let ended: Ended | undefined;
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    stdout += text;
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    stderr += text;
  });
  child.once('close', (code, signal) => {
    alive.delete(child);
    ended = { code, signal, stdout, stderr };
  });

  const lines = (): LogLine[] =>
    stdout
      .split('\n')
      .slice(0, -1)
      .map((line) => JSON.parse(line) as LogLine);

  const self: Child = {
    pid: child.pid ?? Number.NaN,
    lines,
    async says(message) {
      const found = await vi.waitFor(() => {
        const line = lines().find(({ msg }) => msg === message);
        if (line === undefined && ended !== undefined) return undefined;
        expect(line, `a log line '${message}'`).toBeDefined();
        return line;
      }, IN_TIME);
      if (found === undefined) throw new Error(`ended early: ${stderr}${stdout}`);
      return found;
    },
    page: async () => String((await self.says('ampulla is running')).page),
    signal: (name) => child.kill(name),
    ends: () =>
      vi.waitFor(() => {
        expect(ended, `the end of the process; it said ${stderr}${stdout}`).toBeDefined();
        return ended as Ended;
      }, IN_TIME),
    async kill() {
      child.kill('SIGKILL');
      await self.ends();
    },
  };
  return self;
}

export const startChild = (site: Site): Child => runCli('start', site.file);

const alive = new Set<ChildProcess>();

/** For afterEach: no child outlives its test. */
export async function endChildren(): Promise<void> {
  const ends = [...alive].map((child) => new Promise((resolve) => child.once('close', resolve)));
  for (const child of alive) child.kill('SIGKILL');
  await Promise.all(ends);
}

/** What the page says while there is no connection to the broker. */
export const BROKER_AWAY = /\bno (connection to the )?broker\b/i;

/** The page's text, without its tags. */
export async function pageText(address: string): Promise<string> {
  const answer = await fetch(address);
  const html = await answer.text();
  expect(answer.status, html).toBe(200);
  return html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
}

let chosen: string[] | undefined;

/** The built program, or the source itself when that is newer, so that no old code is tested. */
function program(): string[] {
  chosen ??= isBuilt() ? [join(ROOT, 'dist/main.js')] : ['--import', 'tsx', 'src/main.ts'];
  return chosen;
}

function isBuilt(): boolean {
  const built = statSync(join(ROOT, 'dist/main.js'), { throwIfNoEntry: false })?.mtimeMs ?? 0;
  const sources = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' });
  return sources.every((path) => statSync(join(ROOT, 'src', path)).mtimeMs <= built);
}
