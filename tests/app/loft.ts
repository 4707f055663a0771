import { type House, prepareHouse } from '../../src/app/house.ts';
import type { Memory } from '../../src/app/memory.ts';
import { type Config, formatProblems, parseConfig } from '../../src/config/index.ts';
import type { Measure, Reading } from '../../src/readings/index.ts';
import type { StateRoom } from '../../src/storage/index.ts';
import { type Instant, instant } from '../../src/units/index.ts';

/** Noon on a Tuesday in the invented loft. */
export const NOON = instant(Date.UTC(2026, 4, 5, 17));

const LOFT = `
site: { id: heron-loft, name: Heron Loft, time_zone: America/Winnipeg, currency: CAD }
rooms: { loft: { name: Loft }, den: {} }
tanks:
  tub: { name: The tub, room: loft, volume_l: 90, keep_c: { min: 22, max: 26 } }
  reeds: { room: loft, volume_l: 60, keep_c: { min: 20, max: 26 } }
  sand: { name: Sand box, room: den, housing: terrarium, volume_l: 5, keep_c: { min: 22, max: 34 } }
probes:
  tub-water: { name: Long probe, tank: tub }
  tub-spare: { tank: tub }
  loft-air: { room: loft }
plugs:
  one: { limit_w: 1000, usual_interval_s: 60, max_gap_s: 600 }
  two: { name: Second socket, reporting: interval }
  three: { counter_restarts: at-power-on, counter_wraps_at_wh: 10000 }
  idle: {}
devices:
  tub-heater: { name: Tub heater, kind: heater, nameplate_w: 200, plug: one, tank: tub }
  tub-filter: { kind: filter, nameplate_w: 6, plug: two, tank: tub }
  sand-mat: { kind: heat-mat, nameplate_w: 30, plug: three, tank: sand }
  blower: { kind: air-pump, nameplate_w: 12, shares: { tub: 0.75, reeds: 0.25 } }
  lamp: { kind: light, nameplate_w: 40, tank: upkeep, schedule: [{ from: '18:00', to: '21:00' }] }
feeds:
  all:
    topic: loft/{plug}
    values:
      - { measure: power, at: /w }
      - { measure: counter, at: /kwh }
  climate:
    topic: climate/{probe}
    values: [{ measure: temperature }]
tariffs: { flat: { valid_from: '2020-01-01', energy: { kind: flat, price_per_kwh: 0.1 } } }
`;

/** The loft, with texts of its file put in place of others. */
export function loft(...edits: readonly (readonly [string, string])[]): Config {
  const text = edits.reduce((all, [swap, by]) => {
    if (all.split(swap).length !== 2) throw new Error(`not exactly once: ${swap}`);
    return all.replace(swap, () => by);
  }, LOFT);
  const loaded = parseConfig(text, 'loft.yaml', {});
  if (!loaded.ok) throw new Error(formatProblems(loaded.problems));
  return loaded.config;
}

export const loftHouse = (...edits: readonly (readonly [string, string])[]): House =>
  prepareHouse(loft(...edits));

export const reading = (
  id: string,
  measure: Measure,
  value: number,
  at: number,
  more: Partial<Reading> = {},
): Reading => ({
  from: measure === 'temperature' || measure === 'humidity' ? 'probe' : 'plug',
  id,
  measure,
  value,
  at: at as Instant,
  arrived: at as Instant,
  retained: false,
  ...more,
});

/** A memory of nothing, or of what is handed in. */
export const memoryOf = (
  rooms: Partial<Record<StateRoom, ReadonlyMap<string, object>>> = {},
): Memory => ({ read: (room) => rooms[room] ?? new Map() });
