import { type LoadResult, type Problem, parseConfig } from '../../src/config/index.ts';

/** A small invented household that uses most of what the file can say, and has nothing wrong. */
export const SAMPLE = `site:
  id: heron-lane
  time_zone: Europe/Helsinki
  currency: EUR
  locale: en-FI
broker:
  kind: external
  url: mqtt://127.0.0.1:1883
  silence_limit_s: 120
store:
  group_time_s: 5
rooms:
  den: { name: Den }
  porch: {}
tanks:
  reed-bed:
    room: den
    volume_l: 200
    housing: aquarium
    keep_c:
      min: 22
      max: 27
    set_c: 25
  mat-den:
    room: den
    dimensions_cm: { length: 60, width: 45, height: 45 }
    keep_c: { min: 20, max: 34 }
probes:
  reed-water: { tank: reed-bed }
  mat-side: { tank: mat-den }
  porch-air: { room: porch }
plugs:
  socket-1: { limit_w: 2300 }
  socket-2: { counter_wraps_at_wh: 10000 }
  lamp-plug: {}
devices:
  reed-heater:
    kind: heater
    nameplate_w: 200
    plug: socket-1
    tank: reed-bed
  mat:
    kind: heat-mat
    nameplate_w: 25
    plug: socket-2
    tank: mat-den
  lamp:
    kind: light
    nameplate_w: 30
    plug: lamp-plug
    tank: reed-bed
    schedule:
      - { from: '09:00', to: '19:00' }
  blower:
    kind: air-pump
    nameplate_w: 12
    shares:
      reed-bed: 0.7
      mat-den: 0.1
      upkeep: 0.2
feeds:
  sockets:
    topic: house/{n}/state
    values:
      - measure: counter
        plug: 'socket-{n}'
        at: /sum
        unit: kWh
      - measure: power
        plug: 'socket-{n}'
        at: /draw
    time: { at: /when, format: iso, zone: Europe/Helsinki }
  old-lamp:
    topic: old/{serial}/watts
    names: { f00d: lamp-plug }
    values:
      - { measure: power, plug: '{serial}' }
  seen:
    topic: house/{n}/seen
    values:
      - { measure: presence, plug: 'socket-{n}' }
  probes:
    topic: air/{probe}
    values:
      - measure: temperature
        sentinels: [85, -127]
tariffs:
  early:
    valid_from: '2023-01-01'
    energy: { kind: flat, price_per_kwh: 0.12 }
  later:
    valid_from: '2025-01-01'
    energy:
      kind: time-of-use
      rates:
        day: { price_per_kwh: 0.16 }
        night: { price_per_kwh: 0.09 }
      periods:
        - { rate: day, days: weekdays, from: '07:00', to: '22:00' }
        - { rate: night, days: weekdays, from: '22:00', to: '07:00' }
        - { rate: night, days: weekend, from: '00:00', to: '24:00' }
notify:
  webhooks:
    bell: { url: 'https://bell.example/hook' }
`;

export const FILE = 'heron-lane.yaml';

/** One change of the sample's text, told by the text that it replaces (which occurs once). */
export interface Edit {
  readonly swap: string;
  readonly by: string;
}

/** @throws when the text to replace is not there exactly once: the test would test nothing. */
export function edited(text: string, edits: readonly Edit[]): string {
  return edits.reduce((current, { swap, by }) => {
    if (current.split(swap).length !== 2) throw new Error(`not exactly once: ${swap}`);
    return current.replace(swap, () => by);
  }, text);
}

export const load = (text: string, env: Record<string, string> = {}): LoadResult =>
  parseConfig(text, FILE, env);

/** What is wrong, or what is only warned of. */
export function told(result: LoadResult): readonly Problem[] {
  return result.ok ? result.warnings : result.problems;
}

/** 'line code path' of each, the form in which most tests state what they expect. */
export const brief = (problems: readonly Problem[]): string[] =>
  problems.map(({ line, code, path }) => `${line} ${code} ${path}`);

/** The number of the line that holds `marker`, which occurs once. */
export function lineOf(text: string, marker: string): number {
  if (text.split(marker).length !== 2) throw new Error(`not exactly once: ${marker}`);
  return text.slice(0, text.indexOf(marker)).split('\n').length;
}
