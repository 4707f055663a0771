/**
 * Waits for a line, then commits group after group until it is killed, and prints the number of each group once the store
 * has taken it. Each group books 10 mWh and says in a state how many groups there are.
 */
import { once } from 'node:events';
import { emptyBatch, openStore } from '../../src/storage/index.ts';
import { posting } from './postings.ts';

const file = process.argv[2];
if (file === undefined) throw new Error('give the path of the store');
await once(process.stdin, 'data');
const store = openStore({ file });
const before = store.states('metering').get('counter') as { committed: number } | undefined;
for (let number = (before?.committed ?? 0) + 1; ; number += 1) {
  const slot = Math.floor(number / 40);
  store.commit({
    ...emptyBatch,
    postings: [
      posting(slot, 'trough-heater', 'counted', 4),
      posting(slot, `device-${number % 7}`, 'integrated', 6),
    ],
    states: [{ room: 'metering', key: 'counter', state: { committed: number } }],
  });
  process.stdout.write(`${number}\n`);
}
