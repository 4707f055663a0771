import { expect } from 'vitest';
import type { Reading } from '../../src/readings/index.ts';
import { type Instant, instant, MINUTE, SECOND } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  createSights,
  type ExpectedDuty,
  type Finding,
  lookAround,
  lostTouch,
  planWatches,
  type Sights,
  savedSights,
  see,
  type WatchedSite,
  type WatchPlan,
} from '../../src/watches/index.ts';
import { fitted } from './fitted.ts';

/**
 * A scenario is a script of lines, for a tank of 100 L kept at 24..27 with a heater of 150 W:
 *
 *   set 25 | keep 24..27 | volume 100 | nameplate 150        the site, where it is not the usual one
 *   reporting on-change | interval 60 | companion 15         the plug: how it speaks, what else is on
 *   without room | without water | without plug | outdoors
 *   usual 6 cycles                   first a normal life: on at 25.0, off at 25.4, room at 20
 *   every 1m                         the step of the series below (default 1m)
 *   look every 10m                   the watches' cadence (default: each step)
 *   water  25 25.5x3 25..27x40 _x5   a sample a step: one, three alike, a ramp of 40, none for five
 *   room, heater, water-2, heater-2, chiller         likewise; heaters and chillers in W
 *   volts 231x40                     of the mains at the heater's plug
 *   duty 0.3..0.5                    what the fitted heat loss expects
 *   learned 8 +16                    what the books have taught of its loss: W/K, W at no difference
 *   again 30                         all series so far, so many times in all
 *   gone heater at +10m | on heater at +20m          its availability topic
 *   broker away +10m..+20m
 *   restart at +30m                  everything through JSON and on
 *   expect WATCH never | SEVERITY by +25m | raised by +25m | not before +5m | closed by +60m
 *   expect WATCH unknown at +5m | quiet at +5m because REASON     (the reason may be left out)
 *   expect WATCH because REASON | certain | likely | possible
 *
 * 'never', 'by' and 'not before' are about what a keeper would be told: raised for the hold.
 */
export interface Outcome {
  readonly told: ReadonlyMap<string, readonly Told[]>;
  readonly timeline: ReadonlyMap<string, readonly Seen[]>;
  readonly sights: Sights;
  readonly start: Instant;
}

interface Told {
  readonly at: Instant;
  readonly finding: Finding;
}

interface Seen extends Told {
  readonly told: boolean;
}

/** Spring in the invented town; nothing depends on the date. */
const START = instant(Date.UTC(2026, 2, 3));

const SOURCES = {
  water: { from: 'probe', measure: 'temperature' },
  'water-2': { from: 'probe', measure: 'temperature' },
  room: { from: 'probe', measure: 'temperature' },
  heater: { from: 'plug', measure: 'power' },
  'heater-2': { from: 'plug', measure: 'power' },
  chiller: { from: 'plug', measure: 'power' },
  volts: { from: 'plug', measure: 'voltage', id: 'heater' },
} as const;
type Source = keyof typeof SOURCES;
type Spoken = Pick<Reading, 'from' | 'measure'> & { readonly id?: string };
const isSource = (word: string): word is Source => Object.hasOwn(SOURCES, word);

export function reading(
  source: Source,
  value: number,
  at: Instant,
  more: Partial<Reading> = {},
): Reading {
  const { from, measure, id = source }: Spoken = SOURCES[source];
  return { from, id, measure, value, at, arrived: at, retained: false, ...more };
}

export interface Site {
  set: number | undefined;
  keep: { min: number; max: number };
  volume: number | undefined;
  nameplate: number;
  reporting: 'on-change' | 'interval';
  interval: number | undefined;
  sources: Set<Source>;
  companionW: number;
  outdoors: boolean;
}

export const usualSite = (): Site => ({
  set: undefined,
  keep: { min: 24, max: 27 },
  volume: 100,
  nameplate: 150,
  reporting: 'interval',
  interval: undefined,
  sources: new Set<Source>(['water', 'room', 'heater']),
  companionW: 0,
  outdoors: false,
});

export function planOf(site: Site): WatchPlan {
  const usual = site.interval === undefined ? {} : { usual_interval_s: site.interval };
  const has = (source: Source) => site.sources.has(source);
  const heater = { kind: 'heater', nameplate_w: site.nameplate, tank: 'tank' };
  const watched: WatchedSite = {
    rooms: { fishroom: { outdoors: site.outdoors } },
    tanks: {
      tank: {
        room: 'fishroom',
        housing: 'aquarium',
        walls: 'glass',
        lid: true,
        keep_c: site.keep,
        set_c: site.set,
        volume_l: site.volume,
      },
    },
    probes: {
      ...(has('water') ? { water: { tank: 'tank', ...usual } } : {}),
      ...(has('water-2') ? { 'water-2': { tank: 'tank', ...usual } } : {}),
      ...(has('room') ? { room: { room: 'fishroom', ...usual } } : {}),
    },
    plugs: {
      heater: { reporting: site.reporting, ...usual },
      ...(has('heater-2') ? { 'heater-2': { reporting: site.reporting, ...usual } } : {}),
      ...(has('chiller') ? { chiller: { reporting: site.reporting, ...usual } } : {}),
    },
    devices: {
      heater: has('heater') ? { ...heater, plug: 'heater' } : heater,
      ...(has('heater-2') ? { 'heater-2': { ...heater, plug: 'heater-2' } } : {}),
      ...(has('chiller') ? { chiller: { ...heater, kind: 'chiller', plug: 'chiller' } } : {}),
      ...(site.companionW > 0
        ? {
            lamp: { kind: 'light', nameplate_w: site.companionW, tank: 'tank', plug: 'heater' },
          }
        : {}),
    },
    watches: watchesConfig.parse({}),
  };
  return planWatches(watched);
}

/** '+1h30m', '25m', '45s' in milliseconds. */
function span(text: string): number {
  const parts = [...text.matchAll(/(\d+(?:\.\d+)?)(h|m|s)/g)];
  if (parts.length === 0) throw new Error(`no length of time: ${text}`);
  const unit = { h: 60 * MINUTE, m: MINUTE, s: SECOND };
  return parts.reduce((sum, [, n, u]) => sum + Number(n) * unit[u as keyof typeof unit], 0);
}

/** '25 25.5x3 25..27x40 _x5' as samples; undefined for none. */
function samples(words: readonly string[]): (number | undefined)[] {
  return words.flatMap((word) => {
    const match = /^(_|-?[\d.]+?)(?:\.\.(-?[\d.]+))?(?:x(\d+))?$/.exec(word);
    if (match === null) throw new Error(`no sample: ${word}`);
    const [, from, to, times] = match;
    const count = Number(times ?? 1);
    if (from === '_') return new Array<undefined>(count).fill(undefined);
    const first = Number(from);
    const step = to === undefined ? 0 : (Number(to) - first) / count;
    return Array.from({ length: count }, (_, i) => first + step * (i + (to === undefined ? 0 : 1)));
  });
}

/** Normal cycles for a start: 40 minutes off, 20 on, a sample a minute. */
function usualLife(sights: Sights, cycles: number, from: Instant): Instant {
  let at = from;
  const say = (water: number, watts: number) => {
    for (const [source, value] of [
      ['water', water],
      ['water-2', water],
      ['room', 20],
      ['heater', watts],
    ] as const) {
      see(sights, reading(source, value, at));
    }
    at = instant(at + MINUTE);
  };
  for (let cycle = 0; cycle < cycles; cycle += 1) {
    for (let i = 0; i < 40; i += 1) say(25.4 - (0.4 * i) / 40, 0);
    for (let i = 0; i < 20; i += 1) say(25 + (0.4 * i) / 20, 148);
  }
  return at;
}

function add<T>(lists: Map<string, T[]>, key: string, value: T): void {
  const list = lists.get(key);
  if (list === undefined) lists.set(key, [value]);
  else list.push(value);
}

export function play(script: string): Outcome {
  const site = usualSite();
  const series = new Map<Source, (number | undefined)[]>();
  const events: { at: number; what: (now: Instant) => void }[] = [];
  const expectations: string[] = [];
  let cycles = 0;
  let step: number = MINUTE;
  let cadence: number | undefined;
  let plan: WatchPlan;
  let sights: Sights;
  let states = new Map<string, unknown>();
  let connectedSince: Instant | undefined = START;
  let expectedDuty: ReadonlyMap<string, ExpectedDuty> | undefined;
  let loss: { readonly lossWPerK: number; readonly offsetW: number } | undefined;

  for (const line of script.split('\n').map((it) => it.replace(/#.*/, '').trim())) {
    const [word = '', ...rest] = line.split(/\s+/);
    const [first = '', second = '', third = ''] = rest;
    if (word === '') continue;
    if (word === 'expect') expectations.push(line);
    else if (isSource(word)) {
      site.sources.add(word);
      series.set(word, [...(series.get(word) ?? []), ...samples(rest)]);
    } else if (word === 'again') {
      for (const [source, values] of series) {
        series.set(source, new Array(Number(first)).fill(values).flat());
      }
    } else if (word === 'duty') {
      const [low = Number.NaN, high = Number.NaN] = first.split('..').map(Number);
      expectedDuty = new Map([['tank', { duty: (low + high) / 2, low, high }]]);
    } else if (word === 'learned') {
      loss = { lossWPerK: Number(first), offsetW: Number(second) };
    } else if (word === 'set') site.set = Number(first);
    else if (word === 'keep') {
      const [min, max] = first.split('..').map(Number);
      site.keep = { min: min ?? Number.NaN, max: max ?? Number.NaN };
    } else if (word === 'volume') site.volume = Number(first);
    else if (word === 'outdoors') site.outdoors = true;
    else if (word === 'nameplate') site.nameplate = Number(first);
    else if (word === 'companion') site.companionW = Number(first);
    else if (word === 'reporting') site.reporting = first as Site['reporting'];
    else if (word === 'interval') site.interval = Number(first);
    else if (word === 'without')
      site.sources.delete((first === 'plug' ? 'heater' : first) as Source);
    else if (word === 'usual') cycles = Number(first);
    else if (word === 'every') step = span(first);
    else if (word === 'look') cadence = span(second);
    else if ((word === 'gone' || word === 'on') && isSource(first)) {
      const id = first;
      events.push({
        at: span(third),
        what: (now) =>
          see(sights, {
            ...reading(id, word === 'on' ? 1 : 0, now),
            measure: 'presence',
          }),
      });
    } else if (word === 'broker') {
      const [from = '', to = ''] = second.split('..');
      events.push({
        at: span(from),
        what: () => {
          connectedSince = undefined;
          lostTouch(sights);
        },
      });
      events.push({
        at: span(to),
        what: (now) => {
          connectedSince = now;
        },
      });
    } else if (word === 'restart') {
      events.push({
        at: span(second),
        what: (now) => {
          sights = createSights(plan, JSON.parse(JSON.stringify(savedSights(sights))));
          states = new Map(JSON.parse(JSON.stringify([...states])));
          connectedSince = now;
        },
      });
    } else throw new Error(`no such line: ${line}`);
  }
  if (expectations.length === 0) throw new Error('a scenario that expects nothing');

  plan = planOf(site);
  sights = createSights(plan);
  const storeJPerK = plan.tanks.get('tank')?.prior?.storeJPerK ?? Number.NaN;
  const fits = loss && new Map([['tank', fitted({ ...loss, storeJPerK })]]);
  const start = usualLife(sights, cycles, START);
  const steps = Math.max(...[...series.values()].map((values) => values.length));
  const timeline = new Map<string, Seen[]>();
  const told = new Map<string, Told[]>();
  const raisedFrom = new Map<string, Instant>();
  const tick = Math.min(step, cadence ?? step);

  for (let passed = 0; passed < steps * step; passed += tick) {
    const now = instant(start + passed);
    for (const event of events) if (event.at >= passed && event.at < passed + tick) event.what(now);
    if (passed % step === 0 && connectedSince !== undefined) {
      for (const [source, values] of series) {
        const value = values[passed / step];
        if (value !== undefined) see(sights, reading(source, value, now));
      }
    }
    if (passed % (cadence ?? step) !== 0) continue;
    for (const { key, finding, state } of lookAround(plan, sights, states, {
      now,
      connectedSince,
      expectedDuty,
      fits,
    })) {
      if (state !== undefined) states.set(key, state);
      if (finding.verdict === 'raised') {
        if (!raisedFrom.has(key)) raisedFrom.set(key, now);
      } else if (finding.verdict === 'quiet') raisedFrom.delete(key);
      const from = raisedFrom.get(key);
      const isTold =
        finding.verdict === 'raised' && from !== undefined && now - from >= finding.hold;
      add(timeline, key, { at: now, finding, told: isTold });
      if (isTold) add(told, key, { at: now, finding });
    }
  }
  const outcome = { told, timeline, sights, start };
  for (const line of expectations) check(line, outcome);
  return outcome;
}

const DEFAULT_SUBJECT: Record<string, string> = {
  'heater-stuck-on': 'heater',
  'heater-not-heating': 'heater',
  'heater-overmatched': 'heater',
  'heater-weak': 'heater',
  'heater-drifting': 'heater',
  'heater-chattering': 'heater',
  'heater-unheard': 'heater',
  'heater-against-chiller': 'heater',
  'duty-unexplained': 'tank',
  'probe-frozen': 'water',
  'tank-too-warm': 'tank',
  'tank-too-cold': 'tank',
  'plug-silent': 'heater',
  'probe-silent': 'water',
  'room-cooling': 'fishroom',
};
const SEVERITIES = ['notice', 'warning', 'critical'];

function check(line: string, { told, timeline, start }: Outcome): void {
  const [, name = '', what = '', ...rest] = line.split(/\s+/);
  const watch = name.split(':')[0] ?? '';
  const key = name.includes(':') ? name : `${watch}:${DEFAULT_SUBJECT[watch]}`;
  const seen = timeline.get(key);
  if (seen === undefined) throw new Error(`nothing looked at ${key}`);
  const all = told.get(key) ?? [];
  const minutes = (at: Instant) => Math.round((at - start) / MINUTE);
  const time = rest.find((it) => it.startsWith('+'));
  const limit = time === undefined ? undefined : instant(start + span(time));
  const story = `${line}\n${storyOf(seen, start)}`;
  switch (what) {
    case 'never':
      expect(
        all.map(({ at, finding }) => `+${minutes(at)}m ${finding.reason}`),
        story,
      ).toEqual([]);
      return;
    case 'notice':
    case 'warning':
    case 'critical':
    case 'raised': {
      const enough = all.filter(
        ({ finding }) => SEVERITIES.indexOf(finding.severity) >= SEVERITIES.indexOf(what),
      );
      expect(enough[0]?.at ?? Number.POSITIVE_INFINITY, story).toBeLessThanOrEqual(limit ?? 0);
      return;
    }
    case 'not':
      expect(all[0]?.at ?? Number.POSITIVE_INFINITY, story).toBeGreaterThanOrEqual(limit ?? 0);
      return;
    case 'closed': {
      const last = seen.filter(({ at }) => at <= (limit ?? 0)).at(-1);
      expect(all.length, story).toBeGreaterThan(0);
      expect(last?.finding.verdict, story).toBe('quiet');
      return;
    }
    case 'unknown':
    case 'quiet': {
      const then = seen.filter(({ at }) => at <= (limit ?? 0)).at(-1);
      expect(then?.finding.verdict, story).toBe(what);
      const reason = rest[rest.indexOf('because') + 1];
      if (rest.includes('because')) expect(then?.finding.reason, story).toBe(reason);
      return;
    }
    case 'because':
      expect(new Set(all.map(({ finding }) => finding.reason)), story).toContain(rest[0]);
      return;
    case 'certain':
    case 'likely':
    case 'possible':
      expect(new Set(all.map(({ finding }) => finding.confidence)), story).toEqual(new Set([what]));
      return;
    default:
      throw new Error(`no such expectation: ${line}`);
  }
}

/** What the watch said, whenever it said something else. */
function storyOf(seen: readonly Seen[], start: Instant): string {
  const lines: string[] = [];
  let last = '';
  for (const { at, finding, told } of seen) {
    const said = `${finding.verdict} ${finding.severity} ${finding.reason}${told ? ' TOLD' : ''}`;
    if (said !== last) lines.push(`  +${Math.round((at - start) / MINUTE)}m ${said}`);
    last = said;
  }
  return lines.join('\n');
}
