import type { Subject, WatchName } from './finding.ts';
import type { PlannedGear } from './gear-plan.ts';
import type { PlannedHeater, PlannedTank, WatchPlan } from './plan.ts';

/** A watch that sees nothing. */
export interface BlindWatch {
  readonly watch: WatchName;
  readonly subject: Subject;
}

/** They go by what the heater draws, without a probe too. */
const BY_POWER = ['heater-weak', 'heater-chattering'] as const;
const BY_WARMTH = [
  'heater-stuck-on',
  'heater-not-heating',
  'heater-overmatched',
  'heater-drifting',
  'heater-unheard',
] as const;

/** Whether a plug or probe is silent. */
type Silence = (source: Subject) => boolean;

const nameOf = ({ kind, id }: Subject): string => `${kind}/${id}`;

/** There is one, and all are silent. */
const areGone = (silence: Silence, kind: 'plug' | 'probe', ids: readonly string[]): boolean =>
  ids.length > 0 && ids.every((id) => silence({ kind, id }));

const blind = (
  kind: Subject['kind'],
  id: string,
  ...watches: readonly WatchName[]
): BlindWatch[] => {
  const subject = { kind, id };
  return watches.map((watch) => ({ watch, subject }));
};

/** Its plug tells of it, while that speaks. */
const isMetered = ({ plug, alone }: Pick<PlannedHeater, 'plug' | 'alone'>): boolean =>
  plug !== undefined && alone;

const heatersOf = (plan: WatchPlan, tank: PlannedTank): PlannedHeater[] =>
  tank.heaters.flatMap((id) => plan.heaters.get(id) ?? []).filter(isMetered);

/** What is looked at over hours and days, with all heaters of the tank in one sum. */
function byHeat(plan: WatchPlan, tank: PlannedTank): BlindWatch[] {
  const isLearned = tank.prior !== undefined && tank.probes.length > 0 && tank.heaters.length > 0;
  return isLearned && heatersOf(plan, tank).length === tank.heaters.length
    ? blind('tank', tank.id, 'duty-unexplained', 'expensive-night')
    : [];
}

function withoutHeater(plan: WatchPlan, heater: PlannedHeater, silence: Silence): BlindWatch[] {
  const tank = plan.tanks.get(heater.tank);
  if (tank === undefined) return [];
  // Without a probe only the length of its runs can tell that it sticks.
  const byWarmth = tank.probes.length > 0 ? BY_WARMTH : BY_WARMTH.slice(0, 1);
  const fighting = tank.chillers.length > 0 ? (['heater-against-chiller'] as const) : [];
  const plugs = heatersOf(plan, tank).flatMap(({ plug }) => plug ?? []);
  const isFrozenSeen = tank.prior === undefined || !areGone(silence, 'plug', plugs);
  return [
    ...blind('device', heater.id, ...byWarmth, ...BY_POWER, ...fighting),
    ...(isFrozenSeen ? [] : tank.probes.flatMap((id) => blind('probe', id, 'probe-frozen'))),
    ...byHeat(plan, tank),
  ];
}

/** A heater's watch asks for one chiller that is heard. */
function withoutChiller(plan: WatchPlan, chiller: PlannedHeater, silence: Silence): BlindWatch[] {
  const tank = plan.tanks.get(chiller.tank);
  const plugs = (tank?.chillers ?? []).flatMap((id) => {
    const { plug, alone } = plan.chillers.get(id) ?? {};
    return alone && plug !== undefined ? [plug] : [];
  });
  if (tank === undefined || !areGone(silence, 'plug', plugs)) return [];
  return heatersOf(plan, tank).flatMap(({ id }) => blind('device', id, 'heater-against-chiller'));
}

function withoutGear(plan: WatchPlan, { id, duty, tank, hours }: PlannedGear): BlindWatch[] {
  switch (duty) {
    case 'pump':
      return blind('device', id, 'pump-stopped', 'pump-laboring');
    case 'air':
      return blind('device', id, 'air-stopped');
    case 'light':
      return hours === undefined ? [] : blind('device', id, 'light-off-plan');
    case 'mat': {
      const probes = tank === undefined ? [] : (plan.tanks.get(tank)?.probes ?? []);
      return probes.length === 0 ? [] : blind('device', id, 'mat-overheating');
    }
  }
}

function withoutPlug(plan: WatchPlan, id: string, silence: Silence): BlindWatch[] {
  const plug = plan.plugs.get(id);
  const [device, ...others] = plug?.devices ?? [];
  // What shares a plug was not seen before either.
  if (plug === undefined || device === undefined || others.length > 0) return [];
  const heater = plan.heaters.get(device);
  if (heater !== undefined) return withoutHeater(plan, heater, silence);
  const chiller = plan.chillers.get(device);
  if (chiller !== undefined) return withoutChiller(plan, chiller, silence);
  const tank = plug.tank === undefined ? undefined : plan.tanks.get(plug.tank);
  const isWarmth = tank?.others.some((it) => it.id === device) ?? false;
  return [
    ...plan.gear.gear.filter((it) => it.id === device).flatMap((it) => withoutGear(plan, it)),
    ...(tank !== undefined && isWarmth ? byHeat(plan, tank) : []),
  ];
}

function withoutWater(plan: WatchPlan, tank: PlannedTank): BlindWatch[] {
  const mats = plan.gear.gear.filter(
    (it) => it.duty === 'mat' && it.tank === tank.id && isMetered(it),
  );
  return [
    ...blind('tank', tank.id, 'tank-too-warm', 'tank-too-cold'),
    ...heatersOf(plan, tank).flatMap(({ id }) => blind('device', id, ...BY_WARMTH)),
    ...mats.flatMap(({ id }) => blind('device', id, 'mat-overheating')),
    ...byHeat(plan, tank),
  ];
}

function withoutAir(plan: WatchPlan, room: string): BlindWatch[] {
  const tanks = (plan.rooms.get(room)?.tanks ?? []).flatMap((id) => plan.tanks.get(id) ?? []);
  const inTank = (tank: PlannedTank): BlindWatch[] => {
    const isSized = tank.prior !== undefined && tank.probes.length > 0;
    const heaters = isSized ? heatersOf(plan, tank) : [];
    return [
      ...heaters.flatMap(({ id }) => blind('device', id, 'heater-unheard')),
      ...byHeat(plan, tank),
    ];
  };
  return [...blind('room', room, 'room-cooling'), ...tanks.flatMap(inTank)];
}

function withoutProbe(plan: WatchPlan, id: string, silence: Silence): BlindWatch[] {
  const probe = plan.probes.get(id);
  const tank = probe?.tank === undefined ? undefined : plan.tanks.get(probe.tank);
  const room = probe?.room === undefined ? undefined : plan.rooms.get(probe.room);
  return [
    ...(tank !== undefined && areGone(silence, 'probe', tank.probes)
      ? withoutWater(plan, tank)
      : []),
    ...(room !== undefined && areGone(silence, 'probe', room.probes)
      ? withoutAir(plan, room.id)
      : []),
  ];
}

/**
 * Which watches see nothing while these plugs and probes are silent; what saw nothing before is not
 * among them. A probe beside others in its tank or room blinds nobody: they stand in for it.
 * @param isSilentToo tells of other plugs and probes, which then stand in for nobody
 */
export function blindWithout(
  plan: WatchPlan,
  silent: readonly Subject[],
  isSilentToo: (source: Subject) => boolean = () => false,
): BlindWatch[] {
  const names = new Set(silent.map(nameOf));
  const silence: Silence = (source) => names.has(nameOf(source)) || isSilentToo(source);
  const found = new Map<string, BlindWatch>();
  for (const { kind, id } of silent) {
    const without = kind === 'plug' ? withoutPlug : kind === 'probe' ? withoutProbe : undefined;
    for (const watch of without?.(plan, id, silence) ?? []) {
      found.set(`${watch.watch}:${nameOf(watch.subject)}`, watch);
    }
  }
  return [...found.values()];
}
