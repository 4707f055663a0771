import type { WatchName } from '../../watches/index.ts';
import { heaterNotHeating } from './heater-not-heating.ts';
import { heaterStuckOn } from './heater-stuck-on.ts';
import { plugSilent } from './plug-silent.ts';
import { probeSilent } from './probe-silent.ts';
import { roomCooling } from './room-cooling.ts';
import { tankTooCold } from './tank-too-cold.ts';
import { tankTooWarm } from './tank-too-warm.ts';
import type { WatchWords } from './told.ts';

export const WORDS: Readonly<Record<WatchName, WatchWords>> = {
  'heater-stuck-on': heaterStuckOn,
  'heater-not-heating': heaterNotHeating,
  'tank-too-warm': tankTooWarm,
  'tank-too-cold': tankTooCold,
  'plug-silent': plugSilent,
  'probe-silent': probeSilent,
  'room-cooling': roomCooling,
};
