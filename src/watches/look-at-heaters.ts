import { type ExpectedDuty, lookAtDutyUnexplained } from './duty-unexplained.ts';
import { lookAtHeaterAgainstChiller } from './heater-against-chiller.ts';
import { lookAtHeaterChattering } from './heater-chattering.ts';
import { lookAtHeaterDrifting } from './heater-drifting.ts';
import { lookAtHeaterNotHeating } from './heater-not-heating.ts';
import { lookAtHeaterOvermatched } from './heater-overmatched.ts';
import { type HeaterInput, lookAtHeaterStuckOn } from './heater-stuck-on.ts';
import { lookAtHeaterUnheard } from './heater-unheard.ts';
import { lookAtHeaterWeak } from './heater-weak.ts';
import type { LookWith, Place } from './look-with.ts';
import type { PlannedHeater, PlannedTank } from './plan.ts';
import type { HeaterView, TankView } from './views.ts';

/** A tank, its heaters and its chillers, as seen at one moment. */
export interface SeenTank {
  readonly plan: PlannedTank;
  readonly view: TankView;
  readonly heaters: readonly SeenHeater[];
  readonly chillers: readonly SeenHeater[];
  /** What the fitted heat loss expects of its heaters, where there is a fit. */
  readonly expected: ExpectedDuty | undefined;
}

export interface SeenHeater {
  readonly plan: PlannedHeater;
  readonly view: HeaterView;
}

/** All watches of one tank's heaters look once. */
export function lookAtHeaters(look: LookWith, tank: SeenTank, place: Place): void {
  const views = tank.heaters.map(({ view }) => view);
  const chillers = tank.chillers.map(({ view }) => view);
  for (const { plan, view } of tank.heaters) {
    const others = views.filter((it) => it !== view);
    const input: HeaterInput = {
      config: plan.config,
      tank: tank.view,
      heater: view,
      anotherHeats: others.some(({ drawing }) => drawing === true),
      others,
      chillers,
    };
    const onPlug = { ...place, plug: plan.plug };
    const seen = () => input;
    const { id } = plan;
    look('heater-stuck-on', 'device', id, onPlug, lookAtHeaterStuckOn, seen);
    look('heater-not-heating', 'device', id, onPlug, lookAtHeaterNotHeating, seen);
    look('heater-overmatched', 'device', id, onPlug, lookAtHeaterOvermatched, seen);
    look('heater-weak', 'device', id, onPlug, lookAtHeaterWeak, seen);
    look('heater-drifting', 'device', id, onPlug, lookAtHeaterDrifting, seen);
    look('heater-chattering', 'device', id, onPlug, lookAtHeaterChattering, seen);
    look('heater-unheard', 'device', id, onPlug, lookAtHeaterUnheard, seen);
    look('heater-against-chiller', 'device', id, onPlug, lookAtHeaterAgainstChiller, seen);
  }
  if (tank.heaters.length === 0) return;
  look('duty-unexplained', 'tank', tank.plan.id, place, lookAtDutyUnexplained, () => ({
    config: tank.plan.config,
    tank: tank.view,
    heaters: views,
    expected: tank.expected,
  }));
}
