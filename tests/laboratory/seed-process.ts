import { playSeed } from './one-seed.ts';

/** A process of its own: is told seeds one after the other, and answers with what they have shown. */
process.on('message', ({ seed, days }: { seed: number; days: number }) => {
  process.send?.(playSeed({ seed, days }));
});
