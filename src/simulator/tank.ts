import { type Calendar, type Instant, later, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { DeviceState } from './controls.ts';
import { evaporating, evaporatingMore, humidityAt } from './evaporation.ts';
import type { Afflictions } from './faults/afflictions.ts';
import type { DeviceAilment, TankAilment } from './faults/ailments.ts';
import type { Habits } from './habits.ts';
import { intoWater } from './into-water.ts';
import type { Air } from './room-air.ts';
import { createRoutine } from './routine.ts';
import type { HouseSpec, TankSpec } from './spec.ts';
import { tankHeat, warmed } from './tank-heat.ts';
import { createTending } from './tending.ts';

/** While a keeper works on a tank its heaters are unplugged. */
const TENDED_FOR = 35 * MINUTE;
/** Pumps rest while animals feed, on some days. */
const FED_FOR = 10 * MINUTE;
const FEEDING = { every: { least: 1, most: 3 }, hours: { from: 7, to: 20 } } as const;
/** Water with ice on it gets no colder. */
const ICE = -0.2;

export interface TankState {
  temperature: number;
  /** Until when a keeper is at work, and heaters are unplugged. */
  tendedUntil: Instant;
  /** Until when pumps rest for the sake of feeding. */
  pumpsRestUntil: Instant;
}

/** The water of one tank, and what is done to it. */
export interface Basin {
  readonly state: TankState;
  /** What it loses now for each kelvin by which the room is colder, W/K. */
  loss(at: Instant): number;
  /** Lets the keeper do what is due at `at`. */
  care(at: Instant): void;
  /** Takes in the heat of what runs, and gives off the tank's own to the room's air. */
  warm(at: Instant, seconds: number): void;
}

export function createBasin(
  tank: TankSpec,
  options: {
    spec: HouseSpec;
    air: Air;
    stateOf: (device: string) => DeviceState;
    afflictions: Afflictions;
    habits: Habits;
    start: Instant;
    calendar: Calendar;
    chance: Chance;
    tended: (tank: string, at: Instant) => void;
  },
): Basin {
  const { spec, air, stateOf, afflictions, habits, tended } = options;
  const ailment = afflictions.tanks.get(tank.id) as TankAilment;
  const state: TankState = {
    temperature: tank.set ?? Math.max(air.temperature, 1),
    tendedUntil: 0 as Instant,
    pumpsRestUntil: 0 as Instant,
  };
  const heat = tankHeat(tank);
  const now = { ...heat };
  const warmedBy = spec.devices.flatMap((device) => {
    const part = device.tank === tank.id ? intoWater(device) : 0;
    const its = afflictions.devices.get(device.id) as DeviceAilment;
    return part === 0 ? [] : [{ device: stateOf(device.id), ailment: its, part }];
  });
  const tending = habits.waterChanges ? createTending(tank, options) : undefined;
  const feeding = habits.feedingPauses ? createRoutine({ ...options, ...FEEDING }) : undefined;

  return {
    state,
    loss: (at) =>
      ailment.lossTimes *
      (heat.conductance + evaporatingMore(tank.openWater, air.temperature, humidityAt(at))),
    care(at) {
      const cooledBy = tending?.begins(at);
      if (cooledBy !== undefined) {
        state.tendedUntil = later(at, TENDED_FOR);
        state.temperature -= cooledBy;
        tended(tank.id, at);
      }
      if (feeding?.due(at)) state.pumpsRestUntil = later(at, FED_FOR);
    },
    warm(at, seconds) {
      let watts = 0;
      for (const { device, ailment: its, part } of warmedBy) {
        if (!its.outOfWater) watts += device.watts * part;
      }
      const before = state.temperature;
      now.conductance = heat.conductance * ailment.lossTimes;
      const vapor =
        ailment.lossTimes * evaporating(tank.openWater, before, air.temperature, humidityAt(at));
      const after = warmed(now, before, watts - vapor, air.temperature, seconds);
      state.temperature = Math.max(ICE, after);
      const stored = (heat.capacity * (state.temperature - before)) / seconds;
      air.fromTanks += watts - vapor - stored;
    },
  };
}
