import type { WatchName } from '../../watches/index.ts';
import { airStopped } from './air-stopped.ts';
import { costAhead } from './cost-ahead.ts';
import { dutyUnexplained } from './duty-unexplained.ts';
import { expensiveNight } from './expensive-night.ts';
import { heaterAgainstChiller } from './heater-against-chiller.ts';
import { heaterChattering } from './heater-chattering.ts';
import { heaterDrifting } from './heater-drifting.ts';
import { heaterNotHeating } from './heater-not-heating.ts';
import { heaterOvermatched } from './heater-overmatched.ts';
import { heaterStuckOn } from './heater-stuck-on.ts';
import { heaterUnheard } from './heater-unheard.ts';
import { heaterWeak } from './heater-weak.ts';
import { lightOffPlan } from './light-off-plan.ts';
import { matOverheating } from './mat-overheating.ts';
import { plugSilent } from './plug-silent.ts';
import { powerCut } from './power-cut.ts';
import { probeFrozen } from './probe-frozen.ts';
import { probeSilent } from './probe-silent.ts';
import { pumpLaboring } from './pump-laboring.ts';
import { pumpStopped } from './pump-stopped.ts';
import { roomCooling } from './room-cooling.ts';
import { tankTooCold } from './tank-too-cold.ts';
import { tankTooWarm } from './tank-too-warm.ts';
import type { WatchWords } from './told.ts';

export const WORDS: Readonly<Record<WatchName, WatchWords>> = {
  'heater-stuck-on': heaterStuckOn,
  'heater-not-heating': heaterNotHeating,
  'heater-overmatched': heaterOvermatched,
  'heater-weak': heaterWeak,
  'heater-drifting': heaterDrifting,
  'heater-chattering': heaterChattering,
  'heater-unheard': heaterUnheard,
  'heater-against-chiller': heaterAgainstChiller,
  'duty-unexplained': dutyUnexplained,
  'tank-too-warm': tankTooWarm,
  'tank-too-cold': tankTooCold,
  'plug-silent': plugSilent,
  'probe-silent': probeSilent,
  'probe-frozen': probeFrozen,
  'room-cooling': roomCooling,
  'pump-stopped': pumpStopped,
  'pump-laboring': pumpLaboring,
  'power-cut': powerCut,
  'cost-ahead': costAhead,
  'expensive-night': expensiveNight,
  'mat-overheating': matOverheating,
  'light-off-plan': lightOffPlan,
  'air-stopped': airStopped,
};
