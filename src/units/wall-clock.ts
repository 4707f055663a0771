/** A part of one day by the wall clock, in minutes since midnight: 0 ≤ from < to ≤ 1440. */
export interface WallWindow {
  readonly from: number;
  readonly to: number;
}

export const MINUTES_PER_DAY = 1440;

/** Minutes since midnight of a wall time 'HH:MM', '00:00' to '24:00'. */
export const minuteOfDay = (wall: string): number =>
  Number(wall.slice(0, 2)) * 60 + Number(wall.slice(3, 5));

/** A time of day in minutes since midnight as 'HH:MM'. */
export const wallTimeText = (minute: number): string =>
  `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;

/**
 * The hours of a day from one wall time to another. An end that does not come after the beginning
 * lies past midnight: such hours are the early and the late part of each day.
 */
export function wallWindows(from: string, to: string): readonly WallWindow[] {
  const start = minuteOfDay(from) % MINUTES_PER_DAY;
  const end = minuteOfDay(to);
  if (start < end) return [{ from: start, to: end }];
  const late = { from: start, to: MINUTES_PER_DAY };
  return end === 0 ? [late] : [{ from: 0, to: end }, late];
}
