import type { Subject, WatchName } from './finding.ts';
import type { WatchPlan } from './plan.ts';

/** A watch that sees nothing. */
export interface BlindWatch {
  readonly watch: WatchName;
  readonly subject: Subject;
}

/** They go by what the heater draws, without a probe too. */
const BY_POWER = ['heater-weak', 'heater-chattering', 'heater-against-chiller'] as const;
const BY_WARMTH = [
  'heater-stuck-on',
  'heater-not-heating',
  'heater-overmatched',
  'heater-drifting',
  'heater-unheard',
] as const;

const ofHeater =
  (watches: readonly WatchName[]) =>
  (id: string): BlindWatch[] =>
    watches.map((watch) => ({ watch, subject: { kind: 'device', id } }));

const withoutPlug = ofHeater([...BY_WARMTH, ...BY_POWER]);
const withoutProbe = ofHeater(BY_WARMTH);

/**
 * Which watches see nothing while this plug or probe is silent. A probe beside others in its tank or
 * room blinds nobody: they stand in for it.
 */
export function blindWithout(plan: WatchPlan, silent: Subject): BlindWatch[] {
  if (silent.kind === 'plug') return plan.plugs.get(silent.id)?.heaters.flatMap(withoutPlug) ?? [];
  if (silent.kind !== 'probe') return [];
  const probe = plan.probes.get(silent.id);
  const blind: BlindWatch[] = [];
  const room = probe?.room === undefined ? undefined : plan.rooms.get(probe.room);
  if (room !== undefined && room.probes.length === 1) {
    blind.push({ watch: 'room-cooling', subject: { kind: 'room', id: room.id } });
  }
  const tank = probe?.tank === undefined ? undefined : plan.tanks.get(probe.tank);
  if (tank !== undefined && tank.probes.length === 1) {
    const subject = { kind: 'tank', id: tank.id } as const;
    blind.push({ watch: 'tank-too-warm', subject }, { watch: 'tank-too-cold', subject });
    blind.push(...tank.heaters.flatMap(withoutProbe));
  }
  return blind;
}
