/** A part of the day by the wall clock. */
export interface WallWindow {
  /** Minutes since midnight, 0–1440. */
  readonly from: number;
  /** Minutes since the same midnight, at most a day after `from`: beyond 1440 it is past midnight. */
  readonly to: number;
}

export const MINUTES_PER_DAY = 1440;

/** Minutes since midnight of a wall time 'HH:MM', '00:00' to '24:00'. */
export const minuteOfDay = (wall: string): number =>
  Number(wall.slice(0, 2)) * 60 + Number(wall.slice(3, 5));

/** A time of day in minutes since midnight as 'HH:MM'. */
export const wallTimeText = (minute: number): string =>
  `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;

/** From one wall time to another; one that does not come after it is meant on the next day. */
export function wallWindow(from: string, to: string): WallWindow {
  const start = minuteOfDay(from);
  const end = minuteOfDay(to);
  return { from: start, to: end > start ? end : end + MINUTES_PER_DAY };
}
