/** Regions in which keepers read Fahrenheit; from memory, no source. */
const IN_FAHRENHEIT = new Set([
  ...['US', 'PR', 'GU', 'VI', 'AS', 'MP', 'UM'],
  ...['BS', 'BZ', 'KY', 'PW', 'FM', 'MH', 'LR'],
]);

/** Whether temperatures are written in °F for a BCP 47 tag: by its region, or the likeliest one. */
export const readsFahrenheit = (locale: string): boolean =>
  IN_FAHRENHEIT.has(new Intl.Locale(locale).maximize().region ?? '');

/** The degrees in which a locale's keepers read temperatures. */
export interface Degrees {
  readonly sign: '°C' | '°F';
  temperature(celsius: number): number;
  difference(kelvin: number): number;
}

const CELSIUS: Degrees = {
  sign: '°C',
  temperature: (celsius) => celsius,
  difference: (kelvin) => kelvin,
};
const FAHRENHEIT: Degrees = {
  sign: '°F',
  temperature: (celsius) => celsius * 1.8 + 32,
  difference: (kelvin) => kelvin * 1.8,
};

export const degreesOf = (locale: string): Degrees =>
  readsFahrenheit(locale) ? FAHRENHEIT : CELSIUS;
