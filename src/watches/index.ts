export type { AirStoppedReason } from './air-stopped.ts';
export { type BlindWatch, blindWithout } from './blind.ts';
export type { CostAheadReason, MonthCost } from './cost-ahead.ts';
export { DUTY_SPAN, type DutyUnexplainedReason, type ExpectedDuty } from './duty-unexplained.ts';
export type { ExpensiveNightReason, NightCost, Tonight } from './expensive-night.ts';
export type { Evidence, Finding, Severity, Subject, WatchName } from './finding.ts';
export {
  type Forgetting,
  type Forgotten,
  forgetGear,
  type GearChange,
  type Learned,
} from './forget.ts';
export { type GearRecord, gearChanges, recordGear, shapeText } from './gear-record.ts';
export type { HeaterAgainstChillerReason } from './heater-against-chiller.ts';
export type { HeaterChatteringReason } from './heater-chattering.ts';
export type { HeaterDriftingReason } from './heater-drifting.ts';
export type { HeaterNotHeatingReason } from './heater-not-heating.ts';
export type { HeaterOvermatchedReason } from './heater-overmatched.ts';
export type { HeaterStuckOnReason } from './heater-stuck-on.ts';
export type { HeaterUnheardReason } from './heater-unheard.ts';
export type { HeaterWeakReason } from './heater-weak.ts';
export type { LightOffPlanReason } from './light-off-plan.ts';
export {
  type Look,
  lookAround,
  type Moment,
  type SharedReason,
  type WatchStates,
} from './look-around.ts';
export type { CostsSeen, TankNights } from './look-at-costs.ts';
export type { MatOverheatingReason } from './mat-overheating.ts';
export {
  type PlannedHeater,
  type PlannedPlug,
  type PlannedProbe,
  type PlannedRoom,
  type PlannedTank,
  planWatches,
  type WatchedSite,
  type WatchPlan,
} from './plan.ts';
export type { PlugSilentReason } from './plug-silent.ts';
export type { PowerCutReason } from './power-cut.ts';
export type { ProbeFrozenReason } from './probe-frozen.ts';
export type { ProbeSilentReason } from './probe-silent.ts';
export type { PumpLaboringReason } from './pump-laboring.ts';
export type { PumpStoppedReason } from './pump-stopped.ts';
export type { RoomCoolingReason } from './room-cooling.ts';
export { inUse, tankOf } from './served.ts';
export {
  createSights,
  lostTouch,
  type SavedSight,
  type Sights,
  savedSights,
  see,
  takeUnsaved,
} from './sights.ts';
export type { TankTooColdReason } from './tank-too-cold.ts';
export type { TankTooWarmReason } from './tank-too-warm.ts';
export { type Fits, thresholdsFor } from './thresholds.ts';
