/**
 * Waits for a line, then imports a year of quarter-hours in one transaction, saying after each part
 * how many it has so far, and when all is kept.
 */
import { once } from 'node:events';
import { openClerk } from '../../src/storage/index.ts';
import { noon, yearOfHouse } from './records.ts';

const PART = 2_000;
const file = process.argv[2];
if (file === undefined) throw new Error('give the path of the store');
const intervals = yearOfHouse();
const clerk = openClerk({ file });
process.stdout.write('ready\n');
await once(process.stdin, 'data');
process.stdin.pause();
clerk.together(() => {
  for (let done = 0; done < intervals.length; done += PART) {
    clerk.addHouse(intervals.slice(done, done + PART), 'year.csv', noon);
    process.stdout.write(`${done + PART}\n`);
  }
  const counts = { added: intervals.length, changed: 0, same: 0 };
  clerk.addImport({
    what: 'house',
    id: 'mains',
    file: 'year.csv',
    sha256: 'a7'.repeat(32),
    ...counts,
    at: noon,
  });
});
process.stdout.write('kept\n');
clerk.close();
