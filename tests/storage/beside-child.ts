/**
 * Commits five times a second, as a daemon does, until it was told how often; then prints how many
 * commits the store took and how long the longest took it, ms.
 */
import { once } from 'node:events';
import { emptyBatch, openStore } from '../../src/storage/index.ts';
import { posting } from './postings.ts';

const [file, commits] = process.argv.slice(2);
if (file === undefined || commits === undefined) throw new Error('give a store and a number');
const store = openStore({ file });
let committed = 0;
let longest = 0;

function commit(): void {
  const begun = performance.now();
  store.commit({
    ...emptyBatch,
    postings: [
      posting(committed, 'trough-heater', 'counted', 4),
      posting(committed, `device-${committed % 7}`, 'integrated', 6),
    ],
    states: [{ room: 'metering', key: 'counter', state: { committed } }],
  });
  longest = Math.max(longest, performance.now() - begun);
  committed += 1;
  process.stdout.write(`${committed}\n`);
  if (committed < Number(commits)) return;
  clearInterval(timer);
  store.close();
  process.stdout.write(`${JSON.stringify({ committed, longest })}\n`);
}

process.stdout.write('open\n');
await once(process.stdin, 'data');
process.stdin.pause();
const timer = setInterval(commit, 200);
