import { lookAtCostAhead, type MonthCost } from './cost-ahead.ts';
import { lookAtExpensiveNight, type NightCost, type Tonight } from './expensive-night.ts';
import type { GearRound } from './look-at-gear.ts';

/** Tonight from the evening on, and the last 14 nights. */
export interface TankNights {
  readonly tonight: Tonight | undefined;
  readonly nights: readonly NightCost[];
}

/** What the books and the forecast know of money; without it these watches know nothing. */
export interface CostsSeen {
  /** By tank. */
  readonly nights: ReadonlyMap<string, TankNights>;
  readonly month: MonthCost | undefined;
}

/** The watches of costs look once. The first room speaks for the whole site's month. */
export function lookAtCosts(
  { plan, look }: Pick<GearRound, 'plan' | 'look'>,
  costs: CostsSeen | undefined,
): void {
  const { config } = plan;
  for (const tank of plan.tanks.values()) {
    const seen = costs?.nights.get(tank.id);
    const place = { room: tank.room, tank: tank.id, plug: undefined };
    look('expensive-night', 'tank', tank.id, place, lookAtExpensiveNight, () => ({
      config: tank.config,
      tonight: seen?.tonight,
      nights: seen?.nights ?? [],
    }));
  }
  const [room] = plan.rooms.keys();
  if (room === undefined || config.cost_ahead.budget_per_month === undefined) return;
  const place = { room, tank: undefined, plug: undefined };
  look('cost-ahead', 'room', room, place, lookAtCostAhead, () => ({ config, month: costs?.month }));
}
