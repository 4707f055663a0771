import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { nodeFlags, PROGRAM } from './product.ts';

/** The real daemon in a process of its own, as `npm start` runs it. */
export interface RunningDaemon {
  /** Ends it as a supervisor would, and waits until its books are closed. */
  stop(): Promise<void>;
  /** Ends it for certain, however it is. */
  kill(): void;
}

/** Resolves once it says that it runs. */
export async function startDaemon(config: string): Promise<RunningDaemon> {
  const child = spawn(process.execPath, [...nodeFlags(), PROGRAM, 'start', config], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = once(child, 'exit') as Promise<[code: number | null, signal: string | null]>;
  const lines = createInterface({ input: child.stdout });
  let running = false;
  const runs = new Promise<void>((resolve, reject) => {
    lines.on('line', (line) => {
      // Levels of pino: 40 is a warning, such as an alert; 50 an error. None belong here. Before it
      // runs, the daemon warns of heaters without a probe: these stay without one.
      if (running && /^\{"level":[456]0/.test(line)) console.error(`  the daemon says ${line}`);
      if (!line.includes('"ampulla is running"')) return;
      running = true;
      resolve();
    });
    void ended.then(([code]) => reject(new Error(`the daemon ended with ${code}`)));
  });
  await runs;
  return {
    async stop() {
      child.kill('SIGTERM');
      const [code, signal] = await ended;
      if (code !== 0) throw new Error(`the daemon ended with ${signal ?? code}`);
    },
    kill: () => void child.kill('SIGKILL'),
  };
}
