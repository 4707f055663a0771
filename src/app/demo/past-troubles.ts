import { type Chance, type Fault, type HouseSpec, tellingHeaters } from '../../simulator/index.ts';
import { DAY, HOUR, type Instant, later, type Span } from '../../units/index.ts';

/** Nothing is learned yet at first, and the end belongs to the faults that were asked for. */
const QUIET = { atFirst: 16 * HOUR, atLast: 8 * HOUR } as const;
/** A history with less between is too short to hold troubles that come and go. */
const ROOM_NEEDED = 24 * HOUR;
/** A plug that speaks on change is believed any silence in its first days. */
const VOICE_KNOWN = 4 * DAY;

/**
 * What went wrong in the weeks before and was put right by the keeper: a heater that stuck for some
 * hours, then a plug that fell silent for as long. A short history has less, or none.
 */
export function pastTroubles(
  spec: HouseSpec,
  history: Span,
  chance: Chance,
  asked: readonly Fault[],
): Fault[] {
  const first = later(history.from, QUIET.atFirst);
  const room = history.to - QUIET.atLast - first;
  if (room < ROOM_NEEDED) return [];
  const taken = new Set(asked.flatMap(targetOf));
  const heaters = spec.devices.flatMap(({ id, plug }) =>
    plug === undefined || taken.has(id) || taken.has(plug) ? [] : [{ id, plug }],
  );
  const telling = new Set(tellingHeaters(spec));
  const stuck = chance.pick(heaters.filter(({ id }) => telling.has(id)));
  const silent = chance.pick(heaters.filter(({ id }) => telling.has(id) && id !== stuck?.id));
  const stuckFor = spell(0.3, 0.6, 4, 7);
  const silentFor = spell(0.65, 0.8, 3, 5);

  function spell(earliest: number, latest: number, least: number, most: number): Span {
    const part = earliest + (latest - earliest) * chance.next();
    const hours = least + (most - least) * chance.next();
    const from = Math.round(first + room * part) as Instant;
    return { from, to: later(from, Math.round(hours * HOUR)) };
  }

  const troubles: Fault[] = [];
  if (stuck !== undefined) {
    const { from, to } = stuckFor;
    troubles.push({ kind: 'stuck-on', device: stuck.id, from, until: to });
  }
  if (silent !== undefined && silentFor.from - history.from >= VOICE_KNOWN) {
    const { from, to } = silentFor;
    troubles.push({ kind: 'plug-offline', plug: silent.plug, from, until: to });
  }
  return troubles;
}

function targetOf(fault: Fault): string[] {
  if ('device' in fault) return [fault.device];
  return 'plug' in fault ? [fault.plug] : [];
}
