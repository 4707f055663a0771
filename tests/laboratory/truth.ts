import type { HouseSpec, Simulator } from '../../src/simulator/index.ts';
import { DAY, type Instant, MINUTE } from '../../src/units/index.ts';

const KEPT = DAY / MINUTE;

/** One run of a heater, from switching on to switching off. */
export interface Run {
  readonly from: Instant;
  readonly to: Instant;
  readonly watts: number;
}

/** What truly went on in the simulated house, by the minute, for a day back. */
export interface Truth {
  readonly now: Instant;
  /** Tank and room temperatures, °C, `ago` minutes before now; undefined where nothing is kept yet. */
  tank(id: string, ago?: number): number | undefined;
  room(id: string, ago?: number): number | undefined;
  isOn(device: string, ago?: number): boolean;
  /** Part of the last `minutes` in which it drew. */
  duty(device: string, minutes: number): number;
  watts(device: string): number;
  /** Its last runs, the newest last. */
  runs(device: string): readonly Run[];
  /** What it draws while it is on: a slow mean, W. */
  usualWatts(device: string): number | undefined;
  /** Where its thermostat switches off, °C. */
  setOf(device: string): number | undefined;
  /** What it loses more for each kelvin by which its room is colder, W/K. */
  lossOf(tank: string): number;
  /** Called once a minute. */
  record(): void;
}

const RUNS_KEPT = 12;
/** How far a minute's power moves the slow mean. */
const SLOW = MINUTE / (2 * DAY);

export function createTruth(spec: HouseSpec, simulator: Simulator): Truth {
  const { house } = simulator;
  let minutes = 0;
  const ring = (ids: Iterable<string>) =>
    new Map([...ids].map((id) => [id, new Float64Array(KEPT)] as const));
  const tanks = ring(house.tanks.keys());
  const rooms = ring(house.rooms.keys());
  const drawn = ring(house.devices.keys());
  const thermostatic = spec.devices
    .filter(({ kind }) => kind === 'heater' || kind === 'chiller')
    .map(({ id }) => ({
      id,
      began: undefined as Instant | undefined,
      sum: 0,
      count: 0,
      runs: [] as Run[],
      usual: undefined as number | undefined,
    }));
  const byId = new Map(thermostatic.map((it) => [it.id, it]));

  const at = (ring: Float64Array | undefined, ago: number): number | undefined =>
    ring === undefined || ago >= minutes || ago >= KEPT
      ? undefined
      : ring[(minutes - 1 - ago) % KEPT];

  function recordRun(it: (typeof thermostatic)[number]): void {
    const { on = false, watts = 0 } = house.devices.get(it.id) ?? {};
    if (on && watts > 0) {
      it.began ??= house.at;
      it.sum += watts;
      it.count += 1;
      it.usual = it.usual === undefined ? watts : it.usual + (watts - it.usual) * SLOW;
      return;
    }
    if (it.began === undefined) return;
    it.runs.push({ from: it.began, to: house.at, watts: it.sum / it.count });
    if (it.runs.length > RUNS_KEPT) it.runs.shift();
    it.began = undefined;
    it.sum = 0;
    it.count = 0;
  }

  return {
    get now() {
      return house.at;
    },
    tank: (id, ago = 0) => at(tanks.get(id), ago),
    room: (id, ago = 0) => at(rooms.get(id), ago),
    isOn: (device, ago = 0) => (at(drawn.get(device), ago) ?? 0) > 0,
    duty(device, span) {
      let on = 0;
      for (let ago = 0; ago < span; ago += 1) if (this.isOn(device, ago)) on += 1;
      return on / span;
    },
    watts: (device) => house.devices.get(device)?.watts ?? 0,
    runs: (device) => byId.get(device)?.runs ?? [],
    usualWatts: (device) => byId.get(device)?.usual,
    setOf: (device) => house.setOf(device),
    lossOf: (tank) => house.lossOf(tank) ?? Number.NaN,
    record() {
      const place = minutes % KEPT;
      for (const [id, ring] of tanks) ring[place] = house.tanks.get(id)?.temperature ?? Number.NaN;
      for (const [id, ring] of rooms) ring[place] = house.rooms.get(id) ?? Number.NaN;
      for (const [id, ring] of drawn) ring[place] = house.devices.get(id)?.watts ?? 0;
      for (const it of thermostatic) recordRun(it);
      minutes += 1;
    },
  };
}

/** The mean of half an hour, `ago` minutes back: a room's level, brief dips left out. */
export function levelOf(
  course: (ago: number) => number | undefined,
): (ago: number) => number | undefined {
  return (ago) => {
    let sum = 0;
    for (let minute = 0; minute < 30; minute += 5) {
      const value = course(ago + minute);
      if (value === undefined) return undefined;
      sum += value;
    }
    return sum / 6;
  };
}

/** By how much a course has fallen from its best of the last `minutes`, K. */
export function fallWithin(
  course: (ago: number) => number | undefined,
  minutes: number,
): number | undefined {
  const now = course(0);
  if (now === undefined) return undefined;
  let best = now;
  for (let ago = 0; ago <= minutes; ago += 5) best = Math.max(best, course(ago) ?? best);
  return best - now;
}
