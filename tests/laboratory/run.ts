import { appendFileSync, writeFileSync } from 'node:fs';
import type { Instant } from '../../src/units/index.ts';
import { playSeeds } from './crew.ts';
import { type Outcome, START } from './laboratory.ts';
import { readOptions, USAGE } from './options.ts';
import { shortfalls, summarize } from './summary.ts';
import { table } from './table.ts';
import { trace } from './trace.ts';

/** `npm run lab`: plays years of a house in which things fail, and says what was told of it. */
const options = readOptions(process.argv.slice(2));

if (options === undefined) {
  process.stderr.write(`${USAGE}\n`);
  process.exitCode = 64;
} else if (options.trace !== undefined) {
  trace((line) => process.stdout.write(`${line}\n`), {
    seed: options.seeds[0] as number,
    subject: options.trace,
    from: (options.from === undefined ? START : Date.parse(options.from)) as Instant,
    hours: options.hours,
    start: START,
  });
} else {
  const { seeds, days, jobs, out, log } = options;
  const began = performance.now();
  if (log !== undefined) writeFileSync(log, '');
  const outcomes = await playSeeds(seeds, {
    days,
    jobs,
    onOutcome(outcome) {
      const seconds = ((performance.now() - began) / 1000).toFixed(0);
      const { seed, cases, falseAlerts } = outcome;
      process.stderr.write(
        `seed ${seed}: ${cases.length} faults, ${falseAlerts.length} false alerts, ${seconds} s\n`,
      );
      if (log !== undefined) appendFileSync(log, logOf(outcome));
    },
  });
  const summary = summarize(outcomes);
  const text = table(summary);
  process.stdout.write(text);
  if (out !== undefined) writeFileSync(out, text);
  if (shortfalls(summary).length > 0) process.exitCode = 1;
}

/** What should not have been, one JSON object a line, with what is needed to play it again. */
function logOf({ seed, cases, falseAlerts }: Outcome): string {
  const when = (at: number): string => new Date(at).toISOString();
  const lines = [
    ...falseAlerts.map((alert) => ({ seed, is: 'false', ...alert, at: when(alert.at) })),
    ...cases
      .filter(({ outcome }) => outcome === 'late' || outcome === 'missed')
      .map((it) => ({
        seed,
        is: it.outcome,
        at: when(it.fault.from),
        ...it,
        mended: when(it.mended),
        heldSince: it.heldSince === undefined ? undefined : when(it.heldSince),
      })),
  ];
  return lines.map((line) => `${JSON.stringify(line)}\n`).join('');
}
