import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';

/** A script of this folder in a process of its own, spoken to by lines. */
export interface Running {
  /** Resolves with the first line from now on that passes, or that came before and was not taken yet. */
  line(passes: (line: string) => boolean): Promise<string>;
  say(line: string): void;
  /** Ends it without warning, and resolves with all it printed. */
  kill(): Promise<readonly string[]>;
  /** Resolves when it ended by itself. */
  ended(): Promise<void>;
}

export function run(script: string, ...args: string[]): Running {
  const path = fileURLToPath(new URL(script, import.meta.url));
  const child = spawn(process.execPath, ['--import', 'tsx', path, ...args], { stdio: 'pipe' });
  const closed = once(child, 'close') as Promise<[code: number | null]>;
  let complaint = '';
  let open = '';
  const lines: string[] = [];
  let taken = 0;
  let look = (): void => {};
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    complaint += text;
  });
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    const parts = (open + text).split('\n');
    open = parts.pop() ?? '';
    lines.push(...parts);
    look();
  });

  return {
    line: (passes) =>
      new Promise((resolve, reject) => {
        look = () => {
          while (taken < lines.length) {
            const line = lines[taken] as string;
            taken += 1;
            if (passes(line)) {
              look = () => {};
              resolve(line);
              return;
            }
          }
        };
        look();
        void closed.then(() => reject(new Error(`the child ended early: ${complaint}`)));
      }),
    say: (line) => void child.stdin.write(`${line}\n`),
    async kill() {
      child.kill('SIGKILL');
      await closed;
      return lines;
    },
    async ended() {
      const [code] = await closed;
      if (code !== 0) throw new Error(`the child ended with ${code}: ${complaint}`);
    },
  };
}
