/**
 * Pressure of water vapor over water (from 0 °C up) or ice (below), Pa.
 * Hyland and Wexler as given in the ASHRAE Handbook of Fundamentals 2017, chapter 1, equations 5
 * and 6; valid from −100 to 200 °C.
 */
export function saturationPressure(celsius: number): number {
  const k = celsius + 273.15;
  const exponent =
    celsius < 0
      ? -5.6745359e3 / k +
        6.3925247 +
        k * (-9.677843e-3 + k * (6.2215701e-7 + k * (2.0747825e-9 + k * -9.484024e-13))) +
        4.1635019 * Math.log(k)
      : -5.8002206e3 / k +
        1.3914993 +
        k * (-4.8640239e-2 + k * (4.1764768e-5 + k * -1.4452093e-8)) +
        6.5459673 * Math.log(k);
  return Math.exp(exponent);
}

/** Partial pressure of water vapor in air of a humidity given as a fraction 0–1, Pa. */
export const vaporPressure = (celsius: number, humidity: number): number =>
  humidity * saturationPressure(celsius);

/**
 * Heat that evaporates a kilogram of water, J/kg. A straight line from memory; within 0.02 % of
 * IAPWS-IF97 between 10 and 40 °C (tested).
 */
export const vaporizationHeat = (celsius: number): number => (2501.0 - 2.378 * celsius) * 1e3;
