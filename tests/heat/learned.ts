import {
  cutWindows,
  emptyHeatMemory,
  fitOf,
  type HeatFit,
  type HeatMemory,
  type TankSlot,
  withWindow,
} from '../../src/heat/index.ts';
import type { Simulated } from './simulated-tank.ts';

/** The memory after these slots. */
export const learned = (slots: readonly TankSlot[], storeJPerK: number): HeatMemory =>
  cutWindows(slots).reduce(
    (memory, window) => withWindow(memory, window, storeJPerK),
    emptyHeatMemory,
  );

export const fittedTo = (tank: Simulated, slots = tank.slots): HeatFit =>
  fitOf(learned(slots, tank.prior.storeJPerK), tank.prior);
