import type { MicroUnits } from './money.ts';

/**
 * ISO 4217 codes whose minor unit is not a hundredth, by their number of decimals (from memory,
 * held against the runtime's own list by a test).
 */
const DECIMALS: Readonly<Record<string, number>> = {
  ...decimals(0, 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF'),
  ...decimals(3, 'BHD IQD JOD KWD LYD OMR TND'),
  ...decimals(4, 'CLF UYW'),
};

function decimals(places: number, codes: string): Record<string, number> {
  return Object.fromEntries(codes.split(' ').map((code) => [code, places]));
}

/** How many decimals the smallest coin of an ISO 4217 currency has: 0, 2, 3 or 4. */
export const currencyDecimals = (code: string): number => DECIMALS[code] ?? 2;

/** The currency's smallest coin, to which bills round each line. */
export const coinOf = (code: string): MicroUnits =>
  (10 ** (6 - currencyDecimals(code))) as MicroUnits;
