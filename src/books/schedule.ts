import {
  type Calendar,
  DAY,
  type Instant,
  MINUTE,
  MINUTES_PER_DAY,
  type Span,
  type WallWindow,
  wallWindows,
} from '../units/index.ts';
import type { DeviceConfig } from './config.ts';

const ALWAYS: readonly WallWindow[] = [{ from: 0, to: MINUTES_PER_DAY }];

/** When a device is on, as windows within one day: in order, none past midnight, none touching. */
export function dailyWindows(schedule: DeviceConfig['schedule']): readonly WallWindow[] {
  if (schedule === undefined) return ALWAYS;
  const merged: { from: number; to: number }[] = [];
  const windows = schedule.flatMap(({ from, to }) => wallWindows(from, to));
  for (const { from, to } of windows.sort((a, b) => a.from - b.from)) {
    const last = merged.at(-1);
    if (last !== undefined && from <= last.to) last.to = Math.max(last.to, to);
    else merged.push({ from, to });
  }
  return merged;
}

/**
 * The parts of a span in which the wall clock stands within one of the daily windows, in order. A
 * timer follows the wall clock: it is on twice in an hour that comes twice, and not in a skipped one.
 */
export function scheduledOn(
  windows: readonly WallWindow[],
  span: Span,
  calendar: Calendar,
): readonly Span[] {
  const on: Span[] = [];
  for (const { from, to, offset } of calendar.stretches(span)) {
    const firstDay = Math.floor((from + offset) / DAY);
    const lastDay = Math.floor((to - 1 + offset) / DAY);
    for (let day = firstDay; day <= lastDay; day += 1) {
      const midnight = day * DAY - offset;
      for (const window of windows) {
        const start = Math.max(midnight + window.from * MINUTE, from) as Instant;
        const end = Math.min(midnight + window.to * MINUTE, to) as Instant;
        if (start < end) on.push({ from: start, to: end });
      }
    }
  }
  return on;
}
