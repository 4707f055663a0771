import type { Instant } from '../units/index.ts';

/**
 * Heat that a square meter of still water loses by evaporating, for each pascal by which its vapor
 * pressure is above the air's, W/(m²·Pa): half of what ASHRAE's pool equation has for moved water
 * (4.0e-8 kg/(s·m²·Pa)), times 2.44 MJ/kg. From memory.
 */
const PER_PASCAL = 0.049;

/** Pressure of saturated vapor, Pa: Magnus's formula, with the constants of the WMO, from memory. */
const saturated = (celsius: number): number =>
  611.2 * Math.exp((17.62 * celsius) / (243.12 + celsius));

/** How fast that rises, Pa/K. */
const rise = (celsius: number): number =>
  (saturated(celsius) * 17.62 * 243.12) / (243.12 + celsius) ** 2;

/** Relative humidity in the house, 0–1; it wanders over the year. */
export const humidityAt = (at: Instant): number => 0.48 + 0.06 * Math.sin(at / 3.3e7);

/** What `area` m² of open water lose by evaporation, W. None of it warms the room. */
export const evaporating = (
  area: number,
  waterC: number,
  roomC: number,
  humidity: number,
): number => Math.max(0, PER_PASCAL * area * (saturated(waterC) - humidity * saturated(roomC)));

/** How much more they lose for each kelvin by which the room is colder, W/K. */
export const evaporatingMore = (area: number, roomC: number, humidity: number): number =>
  PER_PASCAL * area * humidity * rise(roomC);
