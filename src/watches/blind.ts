import type { Subject, WatchName } from './finding.ts';
import type { WatchPlan } from './plan.ts';

/** A watch that sees nothing. */
export interface BlindWatch {
  readonly watch: WatchName;
  readonly subject: Subject;
}

const ofHeater = (id: string): BlindWatch[] => [
  { watch: 'heater-stuck-on', subject: { kind: 'device', id } },
  { watch: 'heater-not-heating', subject: { kind: 'device', id } },
];

/**
 * Which watches see nothing while this plug or probe is silent. A probe beside others in its tank or
 * room blinds nobody: they stand in for it.
 */
export function blindWithout(plan: WatchPlan, silent: Subject): BlindWatch[] {
  if (silent.kind === 'plug') return plan.plugs.get(silent.id)?.heaters.flatMap(ofHeater) ?? [];
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
    blind.push(...tank.heaters.flatMap(ofHeater));
  }
  return blind;
}
