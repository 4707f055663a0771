import { type Instant, MINUTE } from '../units/index.ts';
import { lookAtAirStopped } from './air-stopped.ts';
import type { PlannedGear } from './gear-plan.ts';
import { type GearInput, type GearView, viewGear, wallMinute } from './gear-view.ts';
import { lookAtLightOffPlan } from './light-off-plan.ts';
import type { LookWith } from './look-with.ts';
import { lookAtMatOverheating } from './mat-overheating.ts';
import type { WatchPlan } from './plan.ts';
import { lookAtPowerCut, togetherWithin, type Vanished, vanishedTogether } from './power-cut.ts';
import { lookAtPumpLaboring } from './pump-laboring.ts';
import { lookAtPumpStopped, type PumpStoppedState } from './pump-stopped.ts';
import { freshTemperature, patienceOf, type Sights, type WatchedPlug } from './sights.ts';
import { speaksOften } from './silence.ts';
import type { TankView } from './views.ts';

/** What the watches of gear share with the rest of the round. */
export interface GearRound {
  readonly plan: WatchPlan;
  readonly sights: Sights;
  readonly now: Instant;
  readonly connectedSince: Instant | undefined;
  readonly look: LookWith;
  readonly tank: (id: string) => TankView | undefined;
}

/** The watches of pumps, air pumps, lights and mats look once, and the one of power cuts. */
export function lookAtGear(round: GearRound): void {
  const { plan, sights, now } = round;
  const minute = wallMinute(plan.gear.calendar, now);
  const views = new Map<string, GearView>();
  const viewOf = (gear: PlannedGear): GearView => {
    const view = views.get(gear.id) ?? viewGear(sights, gear, now, minute);
    views.set(gear.id, view);
    return view;
  };
  for (const gear of plan.gear.gear) lookAtOne(round, gear, viewOf);
  if (plan.plugs.size > 0) lookAtPower(round);
}

function lookAtOne(
  { plan, look, tank, now }: GearRound,
  gear: PlannedGear,
  viewOf: (gear: PlannedGear) => GearView,
): void {
  const { id, config, room } = gear;
  const place = { room, tank: gear.tank, plug: gear.plug };
  const input = (): GearInput => ({ config, gear: viewOf(gear) });
  if (gear.duty === 'pump') {
    const movers = gear.tank === undefined ? [] : (plan.gear.movers.get(gear.tank) ?? []);
    let pump: PumpStoppedState | undefined;
    look(
      'pump-stopped',
      'device',
      id,
      place,
      (before: PumpStoppedState | undefined, it: GearInput & { anotherRuns: boolean }) => {
        const looked = lookAtPumpStopped(before, it, now);
        pump = looked.state;
        return looked;
      },
      () => ({
        ...input(),
        anotherRuns: movers.some((other) => other.id !== id && runs(viewOf(other))),
      }),
    );
    look('pump-laboring', 'device', id, place, lookAtPumpLaboring, () => ({
      ...input(),
      usual: (pump as PumpStoppedState).usual,
    }));
  }
  if (gear.duty === 'air') look('air-stopped', 'device', id, place, lookAtAirStopped, input);
  if (gear.duty === 'light') look('light-off-plan', 'device', id, place, lookAtLightOffPlan, input);
  if (gear.duty === 'mat') {
    look('mat-overheating', 'device', id, place, lookAtMatOverheating, () => ({
      ...input(),
      tank: gear.tank === undefined ? undefined : tank(gear.tank),
    }));
  }
}

/** Enough to say that some water moves, whatever this pump usually draws. */
const RUNS = 0.2;
const runs = ({ voice, power = 0, nameplate }: GearView): boolean =>
  voice === 'speaks' && power >= RUNS * nameplate;

/** A last will comes so long after the last word at most: brokers wait one and a half keep-alives. */
const WILL_LAGS = 1.5 * MINUTE;

/** Whether a plug speaks now, or when it vanished; undefined where neither is known. */
function seenOf(
  plan: WatchPlan,
  plug: WatchedPlug,
  connectedSince: Instant,
  now: Instant,
): Vanished | 'speaks' | undefined {
  const { id, presence, presenceAt } = plug.sight;
  const heard = plug.sight.heard ?? Number.NEGATIVE_INFINITY;
  const room = plug.plan.tank === undefined ? undefined : plan.tanks.get(plug.plan.tank)?.room;
  if (presence === 'gone') {
    if (presenceAt === undefined || presenceAt < connectedSince) return undefined;
    return { plug: id, room, after: (presenceAt - WILL_LAGS) as Instant, by: presenceAt };
  }
  if (heard < connectedSince) return undefined;
  if (now - heard <= plug.plan.config.silence.at_least_min * MINUTE) return 'speaks';
  const { allowed, usual } = patienceOf(plug, now);
  if (now - heard <= allowed) return 'speaks';
  if (plug.manner !== 'steady' || presence === 'on' || usual === undefined) return undefined;
  return { plug: id, room, after: heard as Instant, by: (heard + usual) as Instant };
}

const speaksOftenNow = (plug: WatchedPlug | undefined, now: Instant): boolean =>
  plug !== undefined && speaksOften(plug.sight.heard, patienceOf(plug, now), now);

/** Which rooms lost how many; among equals the first of the plan. */
function worstRoom(plan: WatchPlan, together: readonly Vanished[]): string | undefined {
  const lost = new Map<string, number>();
  for (const { room } of together) {
    if (room !== undefined) lost.set(room, (lost.get(room) ?? 0) + 1);
  }
  let worst: string | undefined;
  for (const id of plan.rooms.keys()) {
    if (worst === undefined || (lost.get(id) ?? 0) > (lost.get(worst) ?? 0)) worst = id;
  }
  return worst;
}

function lookAtPower({ plan, sights, now, connectedSince, look }: GearRound): void {
  const since = connectedSince ?? now;
  const gone: Vanished[] = [];
  const speaking = new Set<string>();
  for (const plug of sights.plugs.values()) {
    const seen = seenOf(plan, plug, since, now);
    if (seen === 'speaks') speaking.add(plug.plan.id);
    else if (seen !== undefined) gone.push(seen);
  }
  const isHeard = [...sights.probes.values()].filter(
    (probe) => freshTemperature(probe, now) !== undefined,
  );
  const together = vanishedTogether(gone, togetherWithin(plan.config));
  const worst = worstRoom(plan, together);
  for (const room of plan.rooms.keys()) {
    look(
      'power-cut',
      'room',
      room,
      { room, tank: undefined, plug: undefined },
      lookAtPowerCut,
      () => ({
        config: plan.config,
        room,
        plugs: plan.plugs.size,
        speaking,
        isBack: (id) => speaking.has(id) && speaksOftenNow(sights.plugs.get(id), now),
        together,
        worst,
        probesHeard: isHeard.length,
      }),
    );
  }
}
