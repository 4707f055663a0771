import { forecastRoom, type RoomForecast } from '../../heat/index.ts';
import { type Instant, SLOT, slotOf } from '../../units/index.ts';
import type { AirMemory } from './memory.ts';
import type { Night } from './span.ts';

/** The night's slots as a room's air goes through them: those that passed as they were last known. */
export interface AirCourse extends RoomForecast {
  readonly from: Instant;
}

/**
 * The air of a room tonight, from its own last nights and from how it stands now; undefined where
 * no night is known.
 * @param now from the evening on until the night is over
 * @param before what was said an hour ago
 */
export function airCourse(
  { nights }: AirMemory,
  night: Night,
  now: Instant,
  airC: number | undefined,
  before: AirCourse | undefined,
): AirCourse | undefined {
  const length = (night.to - night.from) / SLOT;
  const evening = (night.from - night.evening) / SLOT;
  const at = (slotOf(now) - night.from) / SLOT;
  const [lead, passed] = [Math.max(0, -at), Math.max(0, at)];
  const cut = (from: number): (number | undefined)[][] =>
    nights.map(({ air }) => {
      const slots = air.slice(evening + from, evening + length);
      return Array.from({ length: length - from }, (_, slot) => slots[slot] ?? undefined);
    });
  const rest = forecastRoom(cut(at), length - passed, airC, lead);
  if (rest === undefined || passed === 0) return rest && { ...rest, from: night.from };
  const known = before?.from === night.from ? before : forecastRoom(cut(0), length);
  const gone = known?.roomC.slice(0, passed) ?? [];
  return {
    from: night.from,
    roomC: [...gone, ...rest.roomC],
    // What has passed is known.
    errorK: (rest.errorK * rest.roomC.length) / length,
    nights: rest.nights,
  };
}
