import { DAY, type Instant, MINUTE } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import type { GearPlan, PlannedGear } from './gear-plan.ts';
import { type PlugVoice, voiceOf } from './plug-voice.ts';
import type { Sights } from './sights.ts';

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

/**
 * @param minute what the wall clock shows, minutes since midnight; undefined where the zone is not
 *   told
 */
export function viewGear(
  sights: Sights,
  gear: PlannedGear,
  now: Instant,
  minute: number | undefined,
): GearView {
  const plug = gear.plug === undefined ? undefined : sights.plugs.get(gear.plug);
  return {
    voice: voiceOf(sights, gear, now),
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
