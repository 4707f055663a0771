import { DAY, type Instant, MINUTE } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import type { GearPlan, PlannedGear } from './gear-plan.ts';
import type { WatchPlan } from './plan.ts';
import { patienceOf, type Sights } from './sights.ts';
import type { PlugVoice } from './views.ts';

/** A pump, light, air pump or mat as its watches see it. Powers in W. */
export interface GearView {
  readonly voice: PlugVoice;
  readonly power: number | undefined;
  readonly powerAt: Instant | undefined;
  readonly nameplate: number;
  /** Whether its schedule has it on now; undefined where none is told. */
  readonly onByPlan: boolean | undefined;
}

export interface GearInput {
  readonly config: WatchesConfig;
  readonly gear: GearView;
}

function voiceOf(plan: WatchPlan, sights: Sights, gear: PlannedGear, now: Instant): PlugVoice {
  const plug = gear.plug === undefined ? undefined : sights.plugs.get(gear.plug);
  if (plug === undefined) return 'no-plug';
  if (!gear.alone) return 'plug-shared';
  const { presence, heard, powerAt } = plug.sight;
  if (presence === 'gone') return 'plug-gone';
  if (powerAt === undefined) return 'no-power-seen';
  const silence = now - (heard ?? powerAt);
  if (silence <= plan.config.silence.at_least_min * MINUTE) return 'speaks';
  const patience = patienceOf(plan, plug, now);
  // A plug that reports on change and is known to be on the air stands by its last word.
  const standsByIt = plug.manner === 'on-change' && presence === 'on' && patience.from !== 'told';
  return silence > patience.allowed && !standsByIt ? 'plug-silent' : 'speaks';
}

/**
 * @param minute what the wall clock shows, minutes since midnight; undefined where the zone is not
 *   told
 */
export function viewGear(
  plan: WatchPlan,
  sights: Sights,
  gear: PlannedGear,
  now: Instant,
  minute: number | undefined,
): GearView {
  const plug = gear.plug === undefined ? undefined : sights.plugs.get(gear.plug);
  return {
    voice: voiceOf(plan, sights, gear, now),
    power: plug?.sight.power,
    powerAt: plug?.sight.powerAt,
    nameplate: gear.nameplate,
    onByPlan:
      minute === undefined
        ? undefined
        : gear.hours?.some(({ from, to }) => from <= minute && minute < to),
  };
}

/** A timer follows the wall clock: what counts is what that shows, not how long ago it changed. */
export function wallMinute(calendar: GearPlan['calendar'], now: Instant): number | undefined {
  const [here] = calendar?.stretches({ from: now, to: (now + 1) as Instant }) ?? [];
  if (here === undefined) return undefined;
  const wall = now + here.offset;
  return Math.floor((wall - Math.floor(wall / DAY) * DAY) / MINUTE);
}
