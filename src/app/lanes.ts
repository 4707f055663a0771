import type { ChannelFacts, Recipient } from '../alerts/index.ts';
import type { LinkState } from '../mqtt/index.ts';
import { createClimateBook, type Reading } from '../readings/index.ts';
import type { Instant, Logger } from '../units/index.ts';
import type { CostsSeen } from '../watches/index.ts';
import { type CostLane, createCostLane } from './cost-lane.ts';
import type { Group } from './group.ts';
import { createHeatLane, type HeatLane, type HeatStore } from './heat-lane.ts';
import type { House } from './house.ts';
import type { Memory } from './memory.ts';
import { createWatchLane, type WatchLane } from './watch-lane.ts';

/** What a house does with its readings: all of it goes on into the group. */
export interface Lanes {
  readonly costs: CostLane;
  readonly heat: HeatLane;
  readonly watches: WatchLane;
  take(reading: Reading): void;
  /** Reckons what has no plug, learns from days that are over, and lets all watches look. */
  look(now: Instant, around: Surroundings): void;
  /** Before each commit: puts into the group what has gathered meanwhile. */
  gather(): void;
  refit(house: House, now: Instant, recipients: readonly Recipient[]): void;
}

/** What the watches have to know beside the readings. */
export interface Surroundings {
  readonly link: LinkState;
  readonly recipients: readonly Recipient[];
  readonly channels: readonly ChannelFacts[];
  readonly costs: CostsSeen;
}

export function createLanes(
  house: House,
  parts: { memory: Memory; store: HeatStore; group: Group; logger: Logger; now: Instant },
): Lanes {
  const { memory, store, group, logger } = parts;
  const climate = createClimateBook();
  const costs = createCostLane(house, memory, group);
  const watches = createWatchLane(house, memory, group, logger, parts.now);
  const heat = createHeatLane(house, memory, store, group);

  return {
    costs,
    heat,
    watches,
    take(reading) {
      if (reading.from === 'plug') costs.take(reading);
      else climate.add(reading);
      watches.see(reading);
    },
    look(now, { link, recipients, channels, costs: seen }) {
      costs.reckon(now);
      heat.learn(now);
      const { expected: expectedDuty, fits } = heat;
      watches.look(now, link, recipients, channels, { expectedDuty, fits, costs: seen });
    },
    gather() {
      costs.save();
      group.observe(climate.drain());
    },
    refit(next, now, recipients) {
      costs.refit(next);
      heat.refit(next);
      watches.refit(next, now, recipients);
    },
  };
}
