import { troubleKey } from './alert-id.ts';
import type { AlertMemory } from './memory.ts';
import type { Look } from './trouble.ts';

/** What is under way that explains other findings. */
export interface Causes {
  /** Silent plugs, each with the key of its trouble. */
  readonly silentPlugs: ReadonlyMap<string, string>;
  /** Power cuts by room; EVERYWHERE for one that is not of a room. */
  readonly cutRooms: ReadonlyMap<string, string>;
}

export interface Explanation {
  /** 'WATCH:KIND/ID' of the cause. */
  readonly by: string;
  /** The finding rests on data that have stopped: a quiet one is not to be believed either. */
  readonly blind: boolean;
}

const EVERYWHERE = '*';

/** What a cut of a room's power explains. Never a tank's temperature: that harms all the same. */
const EXPLAINED_BY_POWER_CUT: ReadonlySet<string> = new Set([
  'air-stopped',
  'heater-not-heating',
  'light-off-plan',
  'plug-silent',
  'probe-silent',
  'pump-stopped',
]);

/** Causes by this round's looks, else by what memory says. */
export function causesAmong(memory: AlertMemory, looks: readonly Look[]): Causes {
  const silentPlugs = new Map<string, string>();
  const cutRooms = new Map<string, string>();
  const listOf = (watch: string): Map<string, string> | undefined =>
    watch === 'plug-silent' ? silentPlugs : watch === 'power-cut' ? cutRooms : undefined;
  const placeOf = ({ watch, subject }: Pick<Look, 'watch' | 'subject'>): string =>
    watch === 'plug-silent' || subject.kind === 'room' ? subject.id : EVERYWHERE;
  for (const key in memory.troubles) {
    const trouble = memory.troubles[key];
    if (trouble === undefined || trouble.quietFrom !== null) continue;
    if (trouble.alert.state !== 'closed') {
      listOf(trouble.alert.watch)?.set(placeOf(trouble.alert), key);
    }
  }
  for (const look of looks) {
    const list = listOf(look.watch);
    const { verdict } = look.finding;
    if (verdict === 'raised') list?.set(placeOf(look), troubleKey(look.watch, look.subject));
    if (verdict === 'quiet') list?.delete(placeOf(look));
  }
  return { silentPlugs, cutRooms };
}

/** What explains a finding; undefined when it stands for itself, as a tank's always does. */
export function explain(look: Look, { silentPlugs, cutRooms }: Causes): Explanation | undefined {
  const { watch, subject, plug, room, finding } = look;
  if (finding.verdict === 'unknown') return undefined;
  if (cutRooms.size > 0 && EXPLAINED_BY_POWER_CUT.has(watch)) {
    const by = (room === undefined ? undefined : cutRooms.get(room)) ?? cutRooms.get(EVERYWHERE);
    if (by !== undefined) return { by, blind: false };
  }
  if (subject.kind !== 'device' || plug === undefined) return undefined;
  const by = silentPlugs.get(plug);
  return by === undefined ? undefined : { by, blind: true };
}
