import { expect } from 'vitest';
import { beginMeter, type Known, type MeterSpec, meter } from '../../src/metering/index.ts';
import type { Measure, Reading } from '../../src/readings/index.ts';
import {
  Calendar,
  HOUR,
  instant,
  MINUTE,
  millis,
  SECOND,
  wattHours,
  watts,
} from '../../src/units/index.ts';
import { Ledger } from './ledger.ts';

/*
 * A history of one plug, told line by line, with what the books must say.
 *
 *   plug at intervals, bridged by last power, limit 2000 W, drawing above 5 W, gap 10 min,
 *     restarting at-midnight in America/Winnipeg, wrapping at 1000 Wh, bidirectional
 *   plug registers day night -fed-in several counters; those with a minus are subtracted
 *   from 12:00 every 10 s            a block: its series run side by side from there
 *     power 300x40 _x5 0             40 times 300 W, 5 times nothing, once 0 W
 *     counter 100+2x40               100, 102, 104 … Wh, 40 readings; also 100-2x40
 *     register day 100+2x40          the same of one of several counters
 *   then every 1 min                 another block, one interval after the last reading
 *   at 12:00:05 power 300            one reading; also: retained counter 5, register day 5, gone, back
 *   arriving 14:30 stamped 12:00 power 300
 *   restart                          the state goes through JSON, as through the store
 *   expect at 12:00 counted 25 Wh spread 5 Wh covered 900 s drawing 0 s
 *   expect in all booked 25 Wh       booked is the sum of all ways of knowing
 *   expect notes baseline, duplicate the notes since the last such line; or: none; with several
 *                                    counters: baseline day, duplicate night
 *
 * Times are of 2025-01-01 in UTC, 24:00 and later of the days after. Lines end at '#'.
 */

const DAY_ZERO = Date.UTC(2025, 0, 1);
const ALL: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

type Source = Pick<Reading, 'measure' | 'register'>;

export const spec = (changes: Partial<MeterSpec> = {}): MeterSpec => ({
  plug: 'plug-under-test',
  limit: watts(3680),
  reporting: 'on-change',
  usualInterval: undefined,
  maxGap: undefined,
  counterRestarts: 'never',
  calendar: undefined,
  counterWrapsAt: undefined,
  bidirectional: false,
  signed: false,
  registers: undefined,
  bridge: 'mean-duty',
  drawing: watts(2),
  ...changes,
});

export const reading = (
  measure: Measure,
  value: number,
  at: number,
  rest: Partial<Reading> = {},
): Reading => ({
  from: 'plug',
  id: 'plug-under-test',
  measure,
  value,
  at: instant(at),
  arrived: instant(at),
  retained: false,
  ...rest,
});

export function play(script: string): void {
  const ledger = new Ledger();
  let how = spec();
  let state = beginMeter();
  let notes: string[] = [];
  let block: { start: number; every: number; series: [Source, (number | undefined)[]][] } = {
    start: 0,
    every: 1,
    series: [],
  };
  let last = DAY_ZERO;

  const take = (next: Reading): void => {
    const step = meter(how, state, next);
    state = step.state;
    last = Math.max(last, next.at);
    ledger.post(step.postings);
    notes.push(
      ...step.notes.map(({ event, register }) => (register ? `${event} ${register}` : event)),
    );
  };

  const finishBlock = (): void => {
    const { start, every, series } = block;
    const length = Math.max(0, ...series.map(([, values]) => values.length));
    for (let i = 0; i < length; i++) {
      for (const [{ measure, ...which }, values] of series) {
        const value = values[i];
        if (value !== undefined) take(reading(measure, value, start + i * every, which));
      }
    }
    block = { start: 0, every: 1, series: [] };
    expect(ledger.faults(how)).toEqual([]);
  };

  const commands: [RegExp, (...parts: string[]) => void][] = [
    [/^plug (.*)$/, (words) => (how = spec(plugWords(words)))],
    [
      /^from (\S+) every (.*)$/,
      (time, every) => (block = { start: clock(time), every: duration(every), series: [] }),
    ],
    [
      /^then every (.*)$/,
      (every) => (block = { start: last + duration(every), every: duration(every), series: [] }),
    ],
    [
      /^at (\S+) (retained )?(power|counter|register \S+) (\S+)$/,
      (time, retained, words, value) => {
        const { measure, ...which } = source(words);
        take(reading(measure, Number(value), clock(time), { ...which, retained: retained !== '' }));
      },
    ],
    [/^at (\S+) gone$/, (time) => take(reading('presence', 0, clock(time)))],
    [/^at (\S+) back$/, (time) => take(reading('presence', 1, clock(time)))],
    [
      /^arriving (\S+) stamped (\S+) (power|counter|register \S+) (\S+)$/,
      (arrived, time, words, value) => {
        const { measure, ...which } = source(words);
        take(
          reading(measure, Number(value), clock(time), {
            ...which,
            arrived: instant(clock(arrived)),
          }),
        );
      },
    ],
    [/^restart$/, () => (state = JSON.parse(JSON.stringify(state)))],
    [
      /^expect notes (.*)$/,
      (list) => {
        expect(notes).toEqual(list === 'none' ? [] : list.split(/, */));
        notes = [];
      },
    ],
    [
      /^expect at (\S+) nothing$/,
      (time) =>
        expect(ledger.total(ALL, clock(time))).toEqual({
          energy: 0,
          spread: 0,
          covered: 0,
          drawing: 0,
        }),
    ],
    [/^expect at (\S+) (.*)$/, (time, words) => check(ledger, words, clock(time))],
    [/^expect in all (.*)$/, (words) => check(ledger, words, undefined)],
  ];

  for (const [index, raw] of script.split('\n').entries()) {
    const line = raw.replace(/#.*/, '').trim();
    if (line === '') continue;
    const [, words, items] = /^(power|counter|presence|register \S+)\s+(.*)$/.exec(line) ?? [];
    if (items !== undefined) {
      block.series.push([source(words), items.split(/\s+/).flatMap(values)]);
      continue;
    }
    finishBlock();
    const found = commands.find(([pattern]) => pattern.test(line));
    if (found === undefined) throw new Error(`line ${index + 1} is no command: ${line}`);
    const parts = (found[0].exec(line) ?? []).slice(1).map((part) => part ?? '');
    try {
      found[1](...parts);
    } catch (error) {
      if (error instanceof Error) error.message = `line ${index + 1}: ${line}\n${error.message}`;
      throw error;
    }
  }
  finishBlock();
}

function check(ledger: Ledger, words: string, slot: number | undefined): void {
  const [known = '', ...rest] = words.split(' ');
  const sum = ledger.total(known === 'booked' ? ALL : [known as Known], slot);
  expect([...ALL, 'booked']).toContain(known);
  const expected: Partial<typeof sum> = {};
  const fields: (keyof typeof sum)[] = ['energy', 'spread', 'covered', 'drawing'];
  const pairs = ['energy', ...rest].join(' ').matchAll(/(\w+) (\S+) (Wh|s)/g);
  for (const [, field, amount, unit] of pairs) {
    expect(fields).toContain(field);
    expected[field as keyof typeof sum] = Math.round(Number(amount) * 1000);
    expect(unit).toBe(field === 'energy' || field === 'spread' ? 'Wh' : 's');
  }
  expect(Object.keys(expected)).not.toEqual([]);
  expect(sum).toMatchObject(expected);
}

/** 'power', 'counter', or 'register day'. */
function source(words = ''): Source {
  const [word, register] = words.split(/\s+/);
  return register === undefined ? { measure: word as Measure } : { measure: 'counter', register };
}

function values(item: string): (number | undefined)[] {
  const [, first = '', rise = '0', times = '1'] =
    /^(-?[\de.]+|_)(?:\+?(-?[\d.]+))?(?:x(\d+))?$/.exec(item) ?? [];
  if (first === '') throw new Error(`no series item: ${item}`);
  return Array.from({ length: Number(times) }, (_, i) =>
    first === '_' ? undefined : Math.round((Number(first) + i * Number(rise)) * 1e6) / 1e6,
  );
}

function clock(time = ''): number {
  const [, hours, minutes, seconds = '0'] = /^(\d+):(\d\d)(?::([\d.]+))?$/.exec(time) ?? [];
  if (hours === undefined) throw new Error(`no time: ${time}`);
  return DAY_ZERO + Number(hours) * HOUR + Number(minutes) * MINUTE + Number(seconds) * SECOND;
}

function duration(text = ''): number {
  const [, amount, unit] = /^([\d.]+) (s|min|h)$/.exec(text) ?? [];
  if (amount === undefined) throw new Error(`no duration: ${text}`);
  return Number(amount) * (unit === 's' ? SECOND : unit === 'min' ? MINUTE : HOUR);
}

function plugWords(words: string): Partial<MeterSpec> {
  let changes: { -readonly [K in keyof MeterSpec]?: MeterSpec[K] } = {};
  for (const word of words.split(/, */)) {
    const number = Number(/[\d.]+/.exec(word)?.[0]);
    if (word === 'on change') changes = { ...changes, reporting: 'on-change' };
    else if (word === 'at intervals') changes = { ...changes, reporting: 'interval' };
    else if (word === 'bridged by last power') changes = { ...changes, bridge: 'last-power' };
    else if (word === 'bridged by mean duty') changes = { ...changes, bridge: 'mean-duty' };
    else if (word.startsWith('limit ')) changes = { ...changes, limit: watts(number) };
    else if (word.startsWith('drawing above ')) changes = { ...changes, drawing: watts(number) };
    else if (word.startsWith('gap ')) {
      changes = { ...changes, maxGap: millis(number * MINUTE) };
    } else if (word.startsWith('wrapping at ')) {
      changes = { ...changes, counterWrapsAt: wattHours(number) };
    } else if (word.startsWith('restarting ')) {
      const [counterRestarts, , zone = 'UTC'] = word.slice(11).split(' ');
      changes = { ...changes, counterRestarts: counterRestarts as MeterSpec['counterRestarts'] };
      if (counterRestarts === 'at-midnight') changes.calendar = new Calendar(zone);
    } else if (word === 'bidirectional') {
      changes = { ...changes, bidirectional: true, signed: true };
    } else if (word.startsWith('registers ')) {
      const ids = word.slice(10).split(' ');
      changes = {
        ...changes,
        registers: new Map(ids.map((id) => [id.replace(/^-/, ''), id.startsWith('-') ? -1 : 1])),
        signed: ids.some((id) => id.startsWith('-')),
      };
    } else throw new Error(`no word for a plug: ${word}`);
  }
  return changes;
}
