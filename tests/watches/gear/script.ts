import { expect } from 'vitest';
import type { Reading } from '../../../src/readings/index.ts';
import { DAY, type Instant, instant, MINUTE, SECOND } from '../../../src/units/index.ts';
import { watchesConfig } from '../../../src/watches/config.ts';
import {
  createSights,
  type Finding,
  lookAround,
  lostTouch,
  planWatches,
  savedSights,
  see,
  type WatchPlan,
} from '../../../src/watches/index.ts';

/**
 * A script of lines about gear in a fish room; each device hangs on a plug of its name.
 *
 *   device filter pump 15 [in loft]   name, kind, rated watts; its tank (default 'tank')
 *   schedule lamp 08:00-12:00 14:00-20:00
 *   share filter lamp                 one plug for both
 *   probe water [in loft]             a probe in the tank
 *   kept 24..27 | set 29              of the tank called 'tank'
 *   reporting on-change
 *   begins 2026-03-08T05:00Z          where a date matters
 *   usual filter 12 for 9 days        first a normal life, with noise of 2 % (several lines at once)
 *   every 1m                          the step of the series below
 *   filter 12x30 0x10 12..15x60 _x5   a sample a step; a probe's in °C
 *   gone filter at +10m | back filter at +20m         its availability topic
 *   broker away +10m..+20m | restart at +30m
 *   expect WATCH:ID never [critical] | SEVERITY by +25m | not before +5m | told once | closed by +60m
 *   expect WATCH:ID quiet|unknown at +5m because REASON | because REASON | likely | possible
 *
 * 'never', 'by', 'before' and 'once' are about what a keeper would be told: raised for the hold.
 */
export function play(script: string): void {
  const lines = script
    .split('\n')
    .map((line) => line.replace(/#.*/, '').trim())
    .filter((line) => line !== '');
  const expectations = lines.filter((line) => line.startsWith('expect '));
  if (expectations.length === 0) throw new Error('a script that expects nothing');
  const stage = staged(lines.filter((line) => !line.startsWith('expect ')));
  const seen = perform(stage);
  for (const line of expectations) check(line, seen, stage);
}

interface Device {
  readonly kind: string;
  readonly watts: number;
  readonly tank: string;
  plug: string;
  schedule: { from: string; to: string }[] | undefined;
}

interface Stage {
  readonly devices: Map<string, Device>;
  readonly probes: Map<string, string>;
  keep: { min: number; max: number };
  set: number | undefined;
  reporting: 'on-change' | 'interval';
  begins: Instant;
  step: number;
  readonly usual: Map<string, number>;
  usualFor: number;
  readonly series: Map<string, (number | undefined)[]>;
  readonly events: { at: number; what: string; id: string }[];
}

interface Seen {
  readonly at: Instant;
  readonly finding: Finding;
  readonly told: boolean;
}

export function span(text: string): number {
  const parts = [...text.matchAll(/(\d+(?:\.\d+)?)(d|h|m|s)/g)];
  if (parts.length === 0) throw new Error(`no length of time: ${text}`);
  const unit = { d: DAY, h: 60 * MINUTE, m: MINUTE, s: SECOND };
  return parts.reduce((sum, [, n, u]) => sum + Number(n) * unit[u as keyof typeof unit], 0);
}

function samples(words: readonly string[]): (number | undefined)[] {
  return words.flatMap((word) => {
    const match = /^(_|-?[\d.]+?)(?:\.\.(-?[\d.]+))?(?:x(\d+))?$/.exec(word);
    if (match === null) throw new Error(`no sample: ${word}`);
    const [, from, to, times] = match;
    const count = Number(times ?? 1);
    if (from === '_') return new Array<undefined>(count).fill(undefined);
    const by = to === undefined ? 0 : (Number(to) - Number(from)) / count;
    return Array.from({ length: count }, (_, i) => Number(from) + by * i);
  });
}

function staged(lines: readonly string[]): Stage {
  const stage: Stage = {
    devices: new Map(),
    probes: new Map(),
    keep: { min: 24, max: 27 },
    set: undefined,
    reporting: 'interval',
    begins: instant(Date.UTC(2026, 2, 3, 6)),
    step: MINUTE,
    usual: new Map(),
    usualFor: 0,
    series: new Map(),
    events: [],
  };
  for (const line of lines) {
    const [word = '', a = '', b = '', c = '', d = '', e = ''] = line.split(/\s+/);
    const rest = line.split(/\s+/).slice(1);
    if (word === 'device') {
      const tank = d === 'in' ? e : 'tank';
      stage.devices.set(a, { kind: b, watts: Number(c), tank, plug: a, schedule: undefined });
    } else if (word === 'schedule') {
      const device = stage.devices.get(a) as Device;
      device.schedule = rest.slice(1).map((hours) => {
        const [from = '', to = ''] = hours.split('-');
        return { from, to };
      });
    } else if (word === 'share') (stage.devices.get(b) as Device).plug = a;
    else if (word === 'probe') stage.probes.set(a, b === 'in' ? c : 'tank');
    else if (word === 'kept') {
      const [min, max] = a.split('..').map(Number);
      stage.keep = { min: min as number, max: max as number };
    } else if (word === 'set') stage.set = Number(a);
    else if (word === 'reporting') stage.reporting = a as Stage['reporting'];
    else if (word === 'begins') stage.begins = instant(Date.parse(a));
    else if (word === 'every') stage.step = span(a);
    else if (word === 'usual') {
      stage.usual.set(a, Number(b));
      stage.usualFor = Number(d) * DAY;
    } else if (word === 'gone' || word === 'back') {
      stage.events.push({ at: span(c), what: word, id: a });
    } else if (word === 'broker') {
      const [from = '', to = ''] = b.split('..');
      stage.events.push({ at: span(from), what: 'away', id: '' });
      stage.events.push({ at: span(to), what: 'there', id: '' });
    } else if (word === 'restart') stage.events.push({ at: span(b), what: 'restart', id: '' });
    else if (stage.devices.has(word) || stage.probes.has(word)) {
      stage.series.set(word, [...(stage.series.get(word) ?? []), ...samples(rest)]);
    } else throw new Error(`no such line: ${line}`);
  }
  return stage;
}

function planOf({ devices, probes, keep, set, reporting }: Stage): WatchPlan {
  const tanks = new Set(['tank', ...[...devices.values()].map(({ tank }) => tank)]);
  const plugs = new Set([...devices.values()].map(({ plug }) => plug));
  const site = {
    site: { time_zone: 'America/Winnipeg' },
    rooms: Object.fromEntries([...tanks].map((tank) => [`${tank}-room`, {}])),
    tanks: Object.fromEntries(
      [...tanks].map((tank) => [
        tank,
        {
          room: `${tank}-room`,
          housing: 'aquarium' as const,
          walls: 'glass' as const,
          lid: true,
          keep_c: keep,
          set_c: set,
        },
      ]),
    ),
    probes: Object.fromEntries(
      [...probes].map(([id, tank]) => [id, { tank, usual_interval_s: 60 }]),
    ),
    plugs: Object.fromEntries(
      [...plugs].map((id) => [
        id,
        { reporting, ...(reporting === 'interval' ? { usual_interval_s: 60 } : {}) },
      ]),
    ),
    devices: Object.fromEntries(
      [...devices].map(([id, { kind, watts, tank, plug, schedule }]) => [
        id,
        { kind, nameplate_w: watts, tank, plug, schedule },
      ]),
    ),
    watches: watchesConfig.parse({}),
  };
  return planWatches(site);
}

/** Seeded noise, even between -1 and 1. */
export function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 31 - 1;
  };
}

const USUAL_STEP = 5 * MINUTE;

function perform(stage: Stage): Map<string, Seen[]> {
  const { devices, probes, series, step, events } = stage;
  const plan = planOf(stage);
  let sights = createSights(plan);
  let states = new Map<string, unknown>();
  let connectedSince: Instant | undefined = instant(stage.begins - stage.usualFor);
  const raisedFrom = new Map<string, Instant>();
  const timeline = new Map<string, Seen[]>();
  const random = noise(7);

  const say = (id: string, value: number, at: Instant, measure?: Reading['measure']): void => {
    const from = probes.has(id) ? 'probe' : 'plug';
    const usual = from === 'probe' ? 'temperature' : 'power';
    see(sights, {
      from,
      id,
      measure: measure ?? usual,
      value,
      at,
      arrived: at,
      retained: false,
    } as Reading);
  };
  const look = (now: Instant, isUsual: boolean): void => {
    for (const { key, finding, state } of lookAround(plan, sights, states, {
      now,
      connectedSince,
    })) {
      if (state !== undefined) states.set(key, state);
      if (finding.verdict !== 'raised') {
        if (finding.verdict === 'quiet') raisedFrom.delete(key);
      } else if (!raisedFrom.has(key)) raisedFrom.set(key, now);
      const from = raisedFrom.get(key) ?? now;
      const told = finding.verdict === 'raised' && now - from >= finding.hold;
      if (isUsual && told) throw new Error(`${key} spoke in its usual life: ${finding.reason}`);
      if (isUsual) continue;
      const before = timeline.get(key);
      if (before === undefined) timeline.set(key, [{ at: now, finding, told }]);
      else before.push({ at: now, finding, told });
    }
  };

  for (let passed = 0; passed < stage.usualFor; passed += USUAL_STEP) {
    const now = instant(stage.begins - stage.usualFor + passed);
    for (const [id, value] of stage.usual) say(id, value * (1 + 0.02 * random()), now);
    look(now, true);
  }
  const steps = Math.max(...[...series.values()].map((values) => values.length));
  for (let at = 0; at < steps; at += 1) {
    const now = instant(stage.begins + at * step);
    for (const event of events) {
      if (event.at < at * step || event.at >= (at + 1) * step) continue;
      if (event.what === 'gone') say(event.id, 0, now, 'presence');
      else if (event.what === 'back') say(event.id, 1, now, 'presence');
      else if (event.what === 'away') {
        connectedSince = undefined;
        lostTouch(sights);
      } else if (event.what === 'there') connectedSince = now;
      else {
        sights = createSights(plan, JSON.parse(JSON.stringify(savedSights(sights))));
        states = new Map(JSON.parse(JSON.stringify([...states])));
        connectedSince = now;
      }
    }
    for (const [id, values] of series) {
      const value = values[at];
      if (value === undefined || connectedSince === undefined) continue;
      if (devices.get(id)?.plug === id || probes.has(id)) say(id, value, now);
    }
    look(now, false);
  }
  return timeline;
}

const SEVERITIES = ['notice', 'warning', 'critical'];

function check(line: string, seen: ReadonlyMap<string, Seen[]>, { begins }: Stage): void {
  const [, key = '', what = '', ...rest] = line.split(/\s+/);
  const all = seen.get(key);
  if (all === undefined) throw new Error(`nothing looked at ${key}`);
  const told = all.filter((it) => it.told);
  const time = rest.find((it) => it.startsWith('+'));
  const limit = begins + (time === undefined ? 0 : span(time));
  const reason = rest[rest.indexOf('because') + 1];
  const story = `${line}\n${storyOf(all, begins)}`;
  if (what === 'never') {
    const [severity] = rest;
    const unwanted = told.filter((it) => !severity || it.finding.severity === severity);
    expect(unwanted.length, story).toBe(0);
  } else if (what === 'told') {
    // Once told it stays so until it is quiet for good.
    const turns = all.filter((it, i) => it.told && all[i - 1]?.told !== true);
    expect(turns.length, story).toBe(1);
  } else if (SEVERITIES.includes(what)) {
    const enough = told.find(
      ({ finding }) => SEVERITIES.indexOf(finding.severity) >= SEVERITIES.indexOf(what),
    );
    expect(enough?.at ?? Number.POSITIVE_INFINITY, story).toBeLessThanOrEqual(limit);
  } else if (what === 'not') {
    expect(told[0]?.at ?? Number.POSITIVE_INFINITY, story).toBeGreaterThanOrEqual(limit);
  } else if (what === 'closed') {
    expect(told.length, story).toBeGreaterThan(0);
    expect(all.findLast(({ at }) => at <= limit)?.finding.verdict, story).toBe('quiet');
  } else if (what === 'quiet' || what === 'unknown') {
    const then = all.findLast(({ at }) => at <= limit)?.finding;
    expect(then?.verdict, story).toBe(what);
    if (rest.includes('because')) expect(then?.reason, story).toBe(reason);
  } else if (what === 'because') {
    expect(new Set(told.map(({ finding }) => finding.reason)), story).toContain(rest[0]);
  } else if (what === 'likely' || what === 'possible' || what === 'certain') {
    expect(new Set(told.map(({ finding }) => finding.confidence)), story).toEqual(new Set([what]));
  } else throw new Error(`no such expectation: ${line}`);
}

/** What the watch said, whenever it said something else. */
function storyOf(all: readonly Seen[], begins: Instant): string {
  const lines: string[] = [];
  let last = '';
  for (const { at, finding, told } of all) {
    const said = `${finding.verdict} ${finding.severity} ${finding.reason}${told ? ' TOLD' : ''}`;
    if (said !== last) lines.push(`  +${Math.round((at - begins) / MINUTE)}m ${said}`);
    last = said;
  }
  return lines.slice(0, 40).join('\n');
}
