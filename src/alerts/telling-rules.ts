import {
  type Calendar,
  type Instant,
  MINUTE,
  type Millis,
  SECOND,
  slotOf,
  type WallWindow,
  wallWindows,
} from '../units/index.ts';
import type { AlertsConfig } from './config.ts';
import type { Waits } from './story.ts';

/** When the keeper is told of what there is to tell. */
export interface TellingRules extends Waits {
  /** Minutes of the local day in which all but critical is held back; none without quiet hours. */
  readonly quietHours: readonly WallWindow[];
}

export const tellingRules = ({
  quiet_hours: quiet,
  repeat_min: repeat,
  gather_s: gather,
}: Pick<AlertsConfig, 'quiet_hours' | 'repeat_min' | 'gather_s'>): TellingRules => ({
  gather: (gather * SECOND) as Millis,
  repeatEvery: (repeat * MINUTE) as Millis,
  quietHours: quiet === undefined ? [] : wallWindows(quiet.from, quiet.to),
});

/** By the wall clock: an hour that a changed clock shows twice is quiet twice. */
export function isQuiet(
  { quietHours }: TellingRules,
  now: Instant,
  calendar: Pick<Calendar, 'local'>,
): boolean {
  if (quietHours.length === 0) return false;
  const minute = calendar.local(now).minute + Math.floor((now - slotOf(now)) / MINUTE);
  return quietHours.some(({ from, to }) => minute >= from && minute < to);
}
