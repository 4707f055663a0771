import { parseArgs } from 'node:util';
import { CodedError } from '../../units/index.ts';

export interface DemoOptions {
  readonly weeks: number;
  readonly seed: number;
  readonly faults: readonly string[];
  readonly faultHours: number;
  readonly port: number;
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
    },
  });
  return {
    weeks: number('weeks', values.weeks, 0, 60),
    seed: number('seed', values.seed, 0, 2 ** 32 - 1),
    faults: values.fault,
    faultHours: number('fault-hours', values['fault-hours'], 0, 200),
    port: number('port', values.port, 0, 65_535),
  };
}

function number(name: string, text: string, min: number, max: number): number {
  const value = Number(text);
  if (text.trim() === '' || !(value >= min && value <= max)) {
    throw new CodedError('AMP_DEMO_OPTION', `--${name} cannot be '${text}'`, {
      remedy: `give a number from ${min} to ${max}`,
    });
  }
  return value;
}
