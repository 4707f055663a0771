import { parseArgs } from 'node:util';

export interface RunOptions {
  readonly seeds: readonly number[];
  readonly days: number;
  readonly jobs: number;
  /** The table goes there, as to the terminal; undefined for the terminal alone. */
  readonly out: string | undefined;
  /** False, late and missed cases as JSON lines go there. */
  readonly log: string | undefined;
  /** Prints what goes on around this device, tank or probe. */
  readonly trace: string | undefined;
  readonly from: string | undefined;
  readonly hours: number;
}

/** Tanks in the house. */
const TANKS = 10;
const FIRST_FINAL_SEED = 2001;

export const USAGE = `npm run lab -- [--seeds 1-4 | --tank-years 200] [--days 365] [--jobs 2] [--out FILE] [--log FILE]
npm run lab -- --seeds 7 --trace DEVICE --from 2025-01-03T04:00:00Z [--hours 6]
Seeds up to 1999 are for tuning; --tank-years takes final seeds, from ${FIRST_FINAL_SEED} on.`;

/** Undefined when the arguments make no sense. */
export function readOptions(args: string[]): RunOptions | undefined {
  try {
    const { values } = parseArgs({
      args,
      options: {
        seeds: { type: 'string', default: '1' },
        'tank-years': { type: 'string' },
        days: { type: 'string', default: '365' },
        jobs: { type: 'string', default: '1' },
        out: { type: 'string' },
        log: { type: 'string' },
        trace: { type: 'string' },
        from: { type: 'string' },
        hours: { type: 'string', default: '6' },
      },
    });
    const days = Number(values.days);
    const seeds =
      values['tank-years'] === undefined
        ? range(values.seeds)
        : finalSeeds(Math.ceil((Number(values['tank-years']) * 365) / (TANKS * days)));
    const [jobs, hours] = [Number(values.jobs), Number(values.hours)];
    const { out, log, trace, from } = values;
    const isSound = [days, jobs, hours, ...seeds].every(
      (value) => Number.isInteger(value) && value > 0,
    );
    if (!isSound || (trace !== undefined && seeds.length !== 1)) return undefined;
    return { seeds, days, jobs, out, log, trace, from, hours };
  } catch {
    return undefined;
  }
}

function range(text: string): number[] {
  const [first = Number.NaN, last = first] = text.split('-').map(Number);
  const count = last - first + 1;
  return count > 0 && count <= 1000
    ? Array.from({ length: count }, (_, i) => first + i)
    : [Number.NaN];
}

const finalSeeds = (count: number): number[] =>
  count > 0 ? Array.from({ length: count }, (_, i) => FIRST_FINAL_SEED + i) : [Number.NaN];
