import type { Tree } from './site.ts';

/**
 * An invented place: a cabin with one tank, its heater and its pump. The zone is half an hour off
 * on purpose. Tests lay their own parts over it.
 */
export const cabin = {
  site: {
    id: 'tern-cabin',
    name: 'Tern Cabin',
    time_zone: 'America/St_Johns',
    currency: 'CAD',
    locale: 'en-CA',
  },
  broker: { kind: 'embedded', port: 0 },
  web: { port: 0 },
  store: { group_time_s: 0.2 },
  rooms: { loft: { name: 'Loft' } },
  tanks: {
    'tide-pool': {
      name: 'Tide pool',
      room: 'loft',
      volume_l: 120,
      keep_c: { min: 22, max: 28 },
      set_c: 25,
    },
  },
  probes: { 'tide-water': { tank: 'tide-pool' } },
  plugs: { 'plug-1': {}, 'plug-2': {} },
  devices: {
    'tide-heater': {
      name: 'Tide heater',
      kind: 'heater',
      nameplate_w: 200,
      plug: 'plug-1',
      tank: 'tide-pool',
    },
    'tide-pump': {
      name: 'Tide pump',
      kind: 'pump',
      nameplate_w: 30,
      plug: 'plug-2',
      tank: 'tide-pool',
    },
  },
  feeds: {
    counters: {
      topic: 'cabin/{plug}/total',
      values: [{ measure: 'counter', unit: 'kWh' }],
    },
    powers: {
      topic: 'cabin/{plug}/power',
      values: [{ measure: 'power' }],
    },
    water: {
      topic: 'cabin/{probe}/temperature',
      values: [{ measure: 'temperature' }],
    },
  },
  tariffs: {
    first: { valid_from: '2010-01-01', energy: { kind: 'flat', price_per_kwh: 0.2 } },
  },
} satisfies Tree;

/** Some plugs, each with a device of its own: `NAME` and `NAME-device`. */
export function plugsNamed(names: readonly string[], plug: Tree = {}) {
  return {
    plugs: Object.fromEntries(names.map((name) => [name, plug])),
    devices: Object.fromEntries(
      names.map((name) => [
        `${name}-device`,
        { kind: 'other', nameplate_w: 500, plug: name, tank: 'tide-pool' },
      ]),
    ),
  };
}
