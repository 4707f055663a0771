import { parseArgs } from 'node:util';
import { CodedError } from '../../units/index.ts';

export interface DemoOptions {
  readonly weeks: number;
  readonly seed: number;
  /** As parseFault reads them. */
  readonly faults: readonly string[];
  readonly faultHours: number;
  readonly port: number;
  /** Folder for the books; undefined for a temporary one. */
  readonly keep: string | undefined;
}

/** @throws CodedError AMP_DEMO_OPTION for a number that is none or out of range. */
export function readDemoOptions(args: string[]): DemoOptions {
  const { values } = parseArgs({
    args,
    options: {
      weeks: { type: 'string', default: '8' },
      seed: { type: 'string', default: '7' },
      fault: { type: 'string', multiple: true, default: [] },
      'fault-hours': { type: 'string', default: '5' },
      port: { type: 'string', default: '8624' },
      keep: { type: 'string' },
    },
  });
  return {
    weeks: number('weeks', values.weeks, 0, 60),
    seed: whole('seed', values.seed, 0, 2 ** 32 - 1),
    faults: values.fault,
    faultHours: number('fault-hours', values['fault-hours'], 0, 200),
    port: whole('port', values.port, 0, 65_535),
    keep: values.keep,
  };
}

function number(name: string, text: string, min: number, max: number): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (!(value >= min && value <= max)) throw wrong(name, text, `a number from ${min} to ${max}`);
  return value;
}

function whole(name: string, text: string, min: number, max: number): number {
  const value = /^\d{1,10}$/.test(text.trim()) ? Number(text) : Number.NaN;
  if (!(value >= min && value <= max)) {
    throw wrong(name, text, `a whole number from ${min} to ${max}`);
  }
  return value;
}

const wrong = (name: string, text: string, wanted: string): CodedError =>
  new CodedError('AMP_DEMO_OPTION', `--${name} cannot be '${text}'`, { remedy: `give ${wanted}` });
