#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import {
  alertsCommand,
  billCommand,
  checkCommand,
  correctCommand,
  demoCommand,
  exportCommand,
  forgetCommand,
  importCommand,
  listenCommand,
  odditiesCommand,
  proveCommand,
  repriceCommand,
  sendTestCommand,
  startCommand,
  tendingCommand,
} from './app/index.ts';
import { CodedError } from './units/index.ts';

const HELP = `ampulla: what every tank costs, and whether its heater is well

  ampulla start FILE          run the daemon with this configuration
  ampulla check FILE          say what would run, or list every error with its line
  ampulla listen              watch a broker and sketch the feeds for a configuration
      --broker URL            mqtt://host:port or mqtts://host:port
      --user NAME  --password-file FILE  --ca-file FILE
      --config FILE           mark what its feeds do not claim
      --seconds N             how long to watch (60)
      --topic FILTER          what to watch ('#')
      --out FILE              write the sketch there
  ampulla alerts FILE         list what is open
      --acknowledge ALERT     it has been seen; ALERT is its id or a part of it
      --snooze ALERT --minutes N   silent for so long
  ampulla send-test FILE [CHANNEL]   one test message through each channel, or one
  ampulla tending FILE TANK   hands are in the tank: what is off raises no alert
      --minutes N             for so long; --end when done
  ampulla forget FILE DEVICE|TANK|PROBE     it was replaced: learn it anew
  ampulla import FILE house DATA…           interval data of the utility: ESPI XML or CSV
      --meter ID              what to call the meter
      --leave-out-others      of an XML file: skip what is not energy drawn
  ampulla import FILE prices SERIES DATA…   published prices by the slot: CSV
      --minutes 15|60         how long a price holds, where the table does not say
      --columns start=HEADER,price=HEADER,unit=per-mwh   where its headers are others
  ampulla bill FILE           list the bills; enter one and hold the books against it
      --from DAY --to DAY     its first and its last day
      --kwh N --total N       what it says; --note WORDS
      --number N              hold the books against a bill on record
      --withdraw N --reason WORDS
  ampulla correct FILE        list corrections by hand; make one
      --device ID --from WHEN --to WHEN (--void | --kwh N) --reason WORDS
      --withdraw N --reason WORDS
  ampulla reprice FILE        what changed tariffs and shares make of past days
      --apply                 bring them into force
  ampulla export FILE KIND    entries, days, tanks, devices, house, prices, corrections, notes
      --from WHEN --to WHEN   WHEN: 2026-03-03 or 2026-03-03T14:15
      --format csv|json|ndjson  --out FILE  --series ID
      --blocks-at average|marginal   tanks and devices, not as the tariff says
      --decimal-comma  --no-byte-order-mark
  ampulla prove FILE TANK     what a change to a tank, a device or all (--site) has saved
      --changed DAY           the day of the change; --from DAY --to DAY
      --no-weather  --json
  ampulla oddities FILE       what was refused, and what meters found wrong
  ampulla demo                a simulated fish room: eight weeks of it, then live
      --weeks N               weeks of history (8)
      --seed N                another room, other weather
      --fault KIND[:ID]       such as stuck-on: a wrong one lists them; may be repeated
      --fault-hours N         how long ago the faults began (5)
      --port N                where the page is served (8624)
      --keep DIR              keep the books there instead of a temporary folder
  ampulla --version
`;

/** Exit codes of sysexits.h: 64 wrong usage, 78 wrong configuration, 70 anything else. */
const USAGE = 64;
const SOFTWARE = 70;
/** What is wrong with how a command was called. */
const MISUSES: ReadonlySet<string> = new Set([
  'AMP_APP_ALERT',
  'AMP_APP_FORGET',
  'AMP_APP_PROVE',
  'AMP_APP_TANK',
  'AMP_APP_CHANNEL',
  'AMP_APP_TIME',
  'AMP_APP_USAGE',
  'AMP_BILL_AMOUNT',
  'AMP_BILL_DAYS',
  'AMP_BILL_NUMBER',
  'AMP_BILL_REASON',
  'AMP_CORRECT_DEVICE',
  'AMP_CORRECT_ENERGY',
  'AMP_CORRECT_FUTURE',
  'AMP_CORRECT_NUMBER',
  'AMP_CORRECT_REASON',
  'AMP_CORRECT_SLOT',
  'AMP_DEMO_FAULT',
  'AMP_DEMO_KEEP',
  'AMP_DEMO_OPTION',
  'AMP_LISTEN_BROKER',
  'AMP_LISTEN_SECONDS',
]);

const COMMANDS: Readonly<Record<string, (args: string[]) => Promise<number>>> = {
  start: startCommand,
  check: checkCommand,
  listen: listenCommand,
  alerts: alertsCommand,
  tending: tendingCommand,
  forget: forgetCommand,
  'send-test': sendTestCommand,
  import: importCommand,
  bill: billCommand,
  correct: correctCommand,
  reprice: repriceCommand,
  export: exportCommand,
  prove: proveCommand,
  oddities: odditiesCommand,
  demo: demoCommand,
};

async function run(argv: string[]): Promise<number> {
  const [name, ...rest] = argv;
  if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
    process.stdout.write(HELP);
    return name === undefined ? USAGE : 0;
  }
  if (name === '--version' || name === '-v') {
    process.stdout.write(`${version()}\n`);
    return 0;
  }
  const command = COMMANDS[name];
  if (command === undefined) {
    process.stderr.write(`ampulla: there is no command '${name}'\n\n${HELP}`);
    return USAGE;
  }
  return command(rest);
}

function version(): string {
  const manifest = readFileSync(new URL('../package.json', import.meta.url), 'utf8');
  return (JSON.parse(manifest) as { version: string }).version;
}

// Nothing that is still open, such as a webhook that does not answer, keeps the process from ending.
process.exit(
  await run(process.argv.slice(2)).catch((error: unknown) =>
    error instanceof CodedError || isUsage(error) ? report(error) : crash(error),
  ),
);

function isUsage(error: unknown): error is Error {
  return (
    error instanceof TypeError && 'code' in error && String(error.code).startsWith('ERR_PARSE_ARGS')
  );
}

function report(error: Error): number {
  const coded = error instanceof CodedError ? error : undefined;
  const code = coded === undefined ? '' : `${coded.code}: `;
  process.stderr.write(`ampulla: ${code}${error.message}\n`);
  if (coded?.remedy !== undefined) process.stderr.write(`  ${coded.remedy}\n`);
  return coded === undefined || MISUSES.has(coded.code) ? USAGE : SOFTWARE;
}

function crash(error: unknown): number {
  process.stderr.write(`ampulla: ${error instanceof Error ? error.stack : String(error)}\n`);
  return SOFTWARE;
}
