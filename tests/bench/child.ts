import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { nodeFlags } from './product.ts';

/** A process of a benchmark, written in TypeScript and kept in this folder. */
export interface Child<Message> {
  /** The next message for which `wanted` holds; fails when the process ends before it. */
  hears<T extends Message>(wanted: (message: Message) => message is T): Promise<T>;
  send(word: string): void;
  /** Resolves when the process has ended. */
  readonly ended: Promise<void>;
  stop(): void;
}

export function startChild<Message>(script: string, ...args: string[]): Child<Message> {
  const child: ChildProcess = fork(fileURLToPath(new URL(script, import.meta.url)), args, {
    execArgv: ['--import', 'tsx', ...nodeFlags()],
  });
  const heard: Message[] = [];
  const waiting = new Set<() => void>();
  let ended: string | undefined;
  const exit = new Promise<void>((resolve) => {
    child.once('exit', () => resolve());
  });
  const wake = (): void => {
    for (const look of [...waiting]) look();
  };
  child.on('message', (message) => {
    heard.push(message as Message);
    wake();
  });
  child.once('exit', (code, signal) => {
    ended = `${script} ended with ${signal ?? code}`;
    wake();
  });

  return {
    hears: <T extends Message>(wanted: (message: Message) => message is T) =>
      new Promise<T>((resolve, reject) => {
        const look = (): void => {
          const index = heard.findIndex(wanted);
          if (index < 0 && ended === undefined) return;
          waiting.delete(look);
          if (index < 0) reject(new Error(ended));
          else resolve(heard.splice(index, 1)[0] as T);
        };
        waiting.add(look);
        look();
      }),
    send: (word) => void child.send(word),
    ended: exit,
    stop: () => void child.kill(),
  };
}
