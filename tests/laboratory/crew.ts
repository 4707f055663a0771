import { fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { Outcome } from './laboratory.ts';

const WORKER = fileURLToPath(new URL('seed-process.ts', import.meta.url));

/** Plays all seeds in as many processes as are asked for; gives the outcomes in the order of the seeds. */
export async function playSeeds(
  seeds: readonly number[],
  { days, jobs, onOutcome }: { days: number; jobs: number; onOutcome: (outcome: Outcome) => void },
): Promise<Outcome[]> {
  const left = [...seeds];
  const outcomes: Outcome[] = [];
  const crew = Array.from({ length: Math.min(jobs, seeds.length) }, () => work());

  function work(): Promise<void> {
    return new Promise((resolve, reject) => {
      const worker = fork(WORKER, { execArgv: ['--import', 'tsx'] });
      const next = (): void => {
        const seed = left.shift();
        if (seed !== undefined) worker.send({ seed, days });
        else {
          worker.disconnect();
          resolve();
        }
      };
      worker.on('message', (outcome: Outcome) => {
        outcomes.push(outcome);
        onOutcome(outcome);
        next();
      });
      worker.on('error', reject);
      worker.on('exit', (code) => {
        if (code !== 0) reject(new Error(`a seed's process ended with ${code}`));
      });
      next();
    });
  }

  await Promise.all(crew);
  return outcomes.sort((a, b) => a.seed - b.seed);
}
