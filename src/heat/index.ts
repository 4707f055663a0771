export { saturationPressure, vaporizationHeat, vaporPressure } from './air.ts';
export { evaporation, QUIET_SURFACE } from './evaporation.ts';
export { type FitStatus, fitOf, type HeatFit } from './fit.ts';
export {
  type Banded,
  type Conditions,
  coldestRoom,
  expectedDuty,
  heaterNeed,
  hoursLeft,
  needVariance,
  scatterOf,
  type TimeLeft,
  tradeHeaterW,
  warmestHeld,
} from './forecast.ts';
export { boxOf, type TankBox, type TankShape } from './geometry.ts';
export { heatIntoWater } from './heat-into-water.ts';
export { type Course, hoursToLimit, restingTemperature, temperatureAfter } from './limit.ts';
export { type Line, lineOf, momentsOf, type Ray, rayOf } from './line.ts';
export {
  emptyHeatMemory,
  type HeatDay,
  type HeatMemory,
  readHeatMemory,
  withWindow,
} from './memory.ts';
export {
  afterStep,
  equilibrium,
  type HeatModel,
  heatLoss,
  timeConstantH,
  warmingRate,
} from './model.ts';
export { type Moments, merged, noMoments, productOf, weighed, withPoint } from './moments.ts';
export {
  forecastNight,
  type NightFigure,
  type NightForecast,
  type NightInput,
  type NightScore,
  scoreNight,
} from './night.ts';
export {
  type HeatPrior,
  type HeatSetting,
  modelFromGeometry,
  priorFromGeometry,
  usualSetting,
} from './prior.ts';
export { forecastRoom, type RoomForecast, type RoomNight } from './room-forecast.ts';
export { studentT } from './student.ts';
export {
  type SlotMean,
  type TankRecord,
  tankSlots,
  type WarmingDevice,
} from './tank-slots.ts';
export {
  learnThermostat,
  type Switching,
  type Thermostat,
  type ThermostatState,
  thermostatOf,
} from './thermostat.ts';
export { cutWindows, type HeatWindow, type TankSlot } from './windows.ts';
