import {
  boxOf,
  evaporation,
  modelFromGeometry,
  priorFromGeometry,
  saturationPressure,
  type TankShape,
  type TankSlot,
  vaporizationHeat,
  vaporPressure,
} from '../../src/heat/index.ts';
import { createChance } from '../../src/simulator/chance.ts';
import { DAY, type Instant, SLOT } from '../../src/units/index.ts';

const MINUTES_A_SLOT = 15;
const SLOTS_A_DAY = DAY / SLOT;
const PROBE_NOISE = 0.06;
const METER_NOISE = 0.01;

export interface Simulated {
  readonly shape: TankShape;
  readonly set: number;
  readonly heaterW: number;
  readonly band: number;
  /** What its geometry says, and what is true of it. */
  readonly prior: NonNullable<ReturnType<typeof modelFromGeometry>>;
  readonly truth: { readonly lossWPerK: number; readonly offsetW: number };
  /** What it loses, W: by `truth`, or, where it evaporates, by physics. */
  readonly lossW: (tankC: number, roomC: number, humidity: number) => number;
  readonly slots: readonly TankSlot[];
  /** The air without the probe's noise, and the heat without the meter's, by slot. */
  readonly trueRoomC: readonly number[];
  readonly trueHeaterW: readonly number[];
}

export interface Circumstances {
  readonly seed: number;
  readonly days: number;
  /** How far the room moves within a day and from day to day, as a factor; 1 is usual. */
  readonly weather?: number;
  /** Water evaporates by the vapor pressures of a room whose humidity wanders, not by a line. */
  readonly evaporating?: boolean;
  /** By how much water changes cool, K; every week, marked as tending. */
  readonly change?: number;
}

const START = (20_400 * DAY) as Instant;

/**
 * A tank that is not what its geometry says, with a thermostat, a filter and a lamp, in a room
 * that goes with the weather; seen through a noisy probe (0.06 °C a sample, three samples a
 * quarter-hour) and a meter with a scale of its own (1 %).
 */
export function simulateTank(given: Circumstances): Simulated {
  const chance = createChance(given.seed);
  const within = (low: number, high: number) => low + (high - low) * chance.next();
  const shape: TankShape = {
    housing: 'aquarium',
    volume_l: Math.exp(within(Math.log(40), Math.log(800))),
    walls: chance.pick(['glass', 'acrylic', 'insulated'] as const) ?? 'glass',
    lid: chance.next() < 0.7,
  };
  const set = within(23.5, 28);
  const prior = modelFromGeometry(shape, { tankC: set, roomC: 19.5, humidity: 0.5 });
  if (prior === undefined) throw new Error('a tank without size');
  const truth = {
    lossWPerK: prior.lossWPerK * within(0.65, 1.35),
    offsetW: prior.offsetW * within(0.4, 1.6),
  };
  const setting = { tankC: set, roomC: 19.5, humidity: 0.5 };
  const ray = priorFromGeometry(shape, setting);
  const surface = boxOf(shape)?.top;
  if (ray === undefined || surface === undefined) throw new Error('a tank without size');
  const dry = (ray.lossWPerK - ray.evaporationWPerK) * within(0.65, 1.35);
  const open = (shape.lid ? 0.1 : 1) * within(0.5, 1.5);
  const lossW = (tankC: number, roomC: number, humidity: number) => {
    if (given.evaporating !== true) return truth.lossWPerK * (tankC - roomC) + truth.offsetW;
    const [water, air] = [saturationPressure(tankC), vaporPressure(roomC, humidity)];
    return (
      dry * (tankC - roomC) + evaporation(surface, water, air, 0.5, open) * vaporizationHeat(tankC)
    );
  };
  const store = prior.storeJPerK * within(0.94, 1.06);
  const heaterW = lossW(set, set - within(11, 16), 0.5);
  const band = within(0.2, 0.6);
  const filterW = heaterW * within(0.02, 0.08);
  const lampW = heaterW * within(0.05, 0.2);
  const scale = 1 + METER_NOISE * chance.normal();
  const weather = given.weather ?? 1;
  const usual = within(17.5, 21);
  const daily = within(0.5, 1.5) * weather;

  const slots: TankSlot[] = [];
  const trueRoomC: number[] = [];
  const trueHeaterW: number[] = [];
  let tank = set;
  let on = false;
  let spell = 0;
  const seen = (value: number) =>
    value + (PROBE_NOISE * (chance.normal() + chance.normal() + chance.normal())) / 3;
  for (let i = 0; i < given.days * SLOTS_A_DAY; i += 1) {
    const hour = (i % SLOTS_A_DAY) / 4;
    spell +=
      -spell / (2.5 * SLOTS_A_DAY) +
      0.9 * weather * Math.sqrt(2 / (2.5 * SLOTS_A_DAY)) * chance.normal();
    const room = usual + daily * Math.cos((2 * Math.PI * (hour - 16)) / 24) + spell;
    const humidity = 0.5 + 0.1 * Math.sin(i / (1.7 * SLOTS_A_DAY)) + 0.03 * chance.normal();
    const tending = given.change !== undefined && i % (7 * SLOTS_A_DAY) === 40 + 6 * SLOTS_A_DAY;
    if (tending) tank -= given.change ?? 0;
    const lamp = hour >= 10 && hour < 20 ? lampW : 0;
    let water = 0;
    let minutesOn = 0;
    for (let minute = 0; minute < MINUTES_A_SLOT; minute += 1) {
      if (tank <= set - band / 2) on = true;
      if (tank >= set + band / 2) on = false;
      const heat = (on ? heaterW : 0) + 0.7 * filterW + 0.4 * lamp;
      const lost = lossW(tank, room, humidity);
      tank += ((heat - lost) * 60) / store;
      water += tank / MINUTES_A_SLOT;
      if (on) minutesOn += 1;
    }
    const mean = (heaterW * minutesOn) / MINUTES_A_SLOT;
    trueRoomC.push(room);
    trueHeaterW.push(mean);
    slots.push({
      slot: (START + i * SLOT) as Instant,
      tankC: seen(water),
      roomC: seen(room),
      heaterW: mean * scale,
      otherW: (0.7 * filterW + 0.4 * lamp) * scale,
      doubtful: false,
      disturbed: tending,
    });
  }
  return { shape, set, heaterW, band, prior, truth, lossW, slots, trueRoomC, trueHeaterW };
}
