import { type ChildProcess, spawn } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, vi } from 'vitest';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
/** How long something may take on a busy machine before it counts as not happening. */
const IN_TIME = { timeout: 60_000, interval: 25 };

/** `ampulla demo` in a process of its own. */
export interface DemoProcess {
  readonly stdout: string;
  readonly stderr: string;
  /** ms since the process was started. */
  age(): number;
  /** Resolves with what the pattern captures; fails when the process ends before it says so. */
  says(pattern: RegExp): Promise<string>;
  signal(name: NodeJS.Signals): void;
  /** Resolves with the exit code. */
  ends(): Promise<number | null>;
}

const alive = new Set<ChildProcess>();

/** `temporary`: the folder in which it makes its temporary ones. */
export function runDemo(temporary: string, ...args: string[]): DemoProcess {
  const started = performance.now();
  const child = spawn(process.execPath, [...program(), 'demo', ...args], {
    cwd: ROOT,
    env: { ...process.env, TMPDIR: temporary },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  alive.add(child);
  const said = { stdout: '', stderr: '' };
  let ended: { readonly code: number | null } | undefined;
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    said.stdout += text;
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    said.stderr += text;
  });
  child.once('close', (code) => {
    alive.delete(child);
    ended = { code };
  });
  return {
    get stdout() {
      return said.stdout;
    },
    get stderr() {
      return said.stderr;
    },
    age: () => performance.now() - started,
    async says(pattern) {
      const found = await vi.waitFor(() => {
        const match = pattern.exec(said.stdout);
        if (match === null && ended !== undefined) return undefined;
        expect(match, `${pattern} in what it says: ${said.stdout}`).not.toBeNull();
        return match as RegExpExecArray;
      }, IN_TIME);
      if (found === undefined) throw new Error(`ended early: ${said.stderr}${said.stdout}`);
      return found[1] ?? found[0];
    },
    signal: (name) => child.kill(name),
    ends: () =>
      vi.waitFor(() => {
        expect(ended, `the end of the process; it said ${said.stdout}`).toBeDefined();
        return ended?.code ?? null;
      }, IN_TIME),
  };
}

/** For afterEach: no child outlives its test. */
export async function endDemos(): Promise<void> {
  const ends = [...alive].map((child) => new Promise((resolve) => child.once('close', resolve)));
  for (const child of alive) child.kill('SIGKILL');
  await Promise.all(ends);
}

/** Whether the built program runs, or the source itself because that is newer. */
export const built = isBuilt();

const program = (): string[] =>
  built ? [join(ROOT, 'dist/main.js')] : ['--import', 'tsx', 'src/main.ts'];

function isBuilt(): boolean {
  const since = statSync(join(ROOT, 'dist/main.js'), { throwIfNoEntry: false })?.mtimeMs ?? 0;
  const sources = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' });
  return sources.every((path) => statSync(join(ROOT, 'src', path)).mtimeMs <= since);
}
