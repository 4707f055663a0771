export { saturationPressure, vaporizationHeat, vaporPressure } from './air.ts';
export { evaporation, QUIET_SURFACE } from './evaporation.ts';
export { boxOf, type TankBox, type TankShape } from './geometry.ts';
export { type Course, hoursToLimit, restingTemperature, temperatureAfter } from './limit.ts';
export { type HeatPrior, type HeatSetting, priorFromGeometry } from './prior.ts';
export {
  learnThermostat,
  type Switching,
  type Thermostat,
  type ThermostatState,
  thermostatOf,
} from './thermostat.ts';
