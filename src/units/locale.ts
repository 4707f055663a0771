/** Regions in which keepers read Fahrenheit; from memory, no source. */
const FAHRENHEIT = new Set([
  ...['US', 'PR', 'GU', 'VI', 'AS', 'MP', 'UM'],
  ...['BS', 'BZ', 'KY', 'PW', 'FM', 'MH', 'LR'],
]);

/** Whether temperatures are written in °F for a BCP 47 tag: by its region, or the likeliest one. */
export const readsFahrenheit = (locale: string): boolean =>
  FAHRENHEIT.has(new Intl.Locale(locale).maximize().region ?? '');
