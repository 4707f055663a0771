import { availableParallelism, cpus, loadavg, platform, totalmem } from 'node:os';
import { parseArgs } from 'node:util';
import { lineOf, measure, runsOf } from './benchmark.ts';
import { staleness } from './product.ts';
import { ROWS } from './rows.ts';

/** `npm run bench [NAME] [-- --quick]`: measures, and leaves judging to the reader. */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { quick: { type: 'boolean', default: false }, runs: { type: 'string', default: '3' } },
});
const wanted = ROWS.filter(({ name }) => positionals.length === 0 || positionals.includes(name));
const runs = values.quick ? 1 : Number(values.runs);
const stale = staleness();

if (wanted.length === 0 || !Number.isInteger(runs) || runs < 1) {
  console.error(`npm run bench [NAME] [-- --quick | --runs N]
  NAME is one of: ${ROWS.map(({ name }) => name).join(', ')}`);
  process.exitCode = 64;
} else if (stale === 'missing') {
  console.error('dist/ is missing: what users run is measured, so run npm run build first');
  process.exitCode = 1;
} else {
  console.log(machine());
  if (stale !== undefined) console.log(`dist is ${stale}: this measures the program as last built`);
  if (values.quick) console.log('quick: shows that the benchmarks work; the figures mean little');
  for (const row of wanted) {
    try {
      const outcome = await measure(row, values.quick ? 'quick' : 'full', runs);
      console.log(lineOf(row, outcome));
      console.log(runsOf(row, outcome));
      if (outcome.remark !== undefined) console.log(`  ${outcome.remark}`);
    } catch (error) {
      console.error(`${row.name}: broke: ${error instanceof Error ? error.message : error}`);
      process.exitCode = 1;
    }
  }
  console.log(`load at the end: ${load()}`);
}

function machine(): string {
  const model = cpus()[0]?.model.trim() ?? 'unknown processor';
  const memory = Math.round(totalmem() / 2 ** 30);
  const date = new Date().toISOString().slice(0, 10);
  return `machine: ${availableParallelism()} cores (${model}), ${memory} GB, ${platform()}, Node ${process.version}, ${date}, load ${load()}`;
}

function load(): string {
  return (loadavg()[0] ?? Number.NaN).toFixed(1);
}
