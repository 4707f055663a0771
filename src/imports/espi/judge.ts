import type { FileProblem } from '../refused.ts';
import { currencyOfNumber } from './currencies.ts';
import type { ReadingType, UsagePoint } from './parts.ts';

/** Which way the energy flows that is wanted: drawn by the house, or sent back by it. */
export type Direction = 'import' | 'export';

/** How readings of a type become energy. */
export interface Meaning {
  /** value × 10^power is milliwatt-hours. */
  readonly power: number;
  /** What the file does not say and was taken for granted. */
  readonly assumed: readonly string[];
}

/** Units of ESPI readings by their code (espiDerived.xsd), for messages; 72 is the one we read. */
const UNITS: Readonly<Record<number, string>> = {
  5: 'A',
  23: '°C',
  29: 'V',
  33: 'Hz',
  38: 'W',
  42: 'm³',
  61: 'VA',
  63: 'var',
  71: 'VAh',
  73: 'varh',
  119: 'ft³',
  169: 'therm',
};
const WATT_HOURS = 72;

const FLOWS: Readonly<Record<number, string>> = {
  1: 'drawn by the house',
  4: 'the net of drawn and sent back',
  19: 'sent back by the house',
  20: 'the total of drawn and sent back',
};

const ACCUMULATIONS: Readonly<Record<number, string>> = {
  1: 'bulk quantity',
  3: 'cumulative: the state of a register',
  12: 'instantaneous',
};
const DELTA_DATA = 4;

/** Commodities that are electricity: none told, secondary and primary metered (from memory). */
const ELECTRIC_COMMODITIES = new Set([0, 1, 2]);

const EXPORT_KWH = 'export energy in kWh or Wh; other readings can be left out when importing';

/** Whether readings of a type are electricity drawn (or sent back) in an interval, in Wh. */
export function judge(
  type: ReadingType,
  usagePoint: UsagePoint | undefined,
  wanted: Direction,
): Meaning | FileProblem {
  const problem = (code: FileProblem['code'], message: string, remedy: string): FileProblem => ({
    code,
    line: type.line,
    place: 'ReadingType',
    message,
    remedy,
  });
  const { uom, flowDirection: flow, accumulationBehaviour: kept, commodity } = type;
  const power = type.powerOfTenMultiplier ?? 0;

  if (uom !== WATT_HOURS) {
    const named = UNITS[uom ?? -1];
    const what =
      uom === undefined ? 'no uom' : `uom ${uom}${named === undefined ? '' : ` (${named})`}`;
    return problem('AMP_ESPI_UNIT', `it has ${what}; energy is uom 72 (Wh)`, EXPORT_KWH);
  }
  if (commodity !== undefined && !ELECTRIC_COMMODITIES.has(commodity)) {
    return problem('AMP_ESPI_UNIT', `its commodity ${commodity} is not electricity`, EXPORT_KWH);
  }
  if (usagePoint?.service !== undefined && usagePoint.service !== 0) {
    return problem(
      'AMP_ESPI_UNIT',
      `its usage point's service ${usagePoint.service} is not electricity`,
      EXPORT_KWH,
    );
  }
  if (Math.abs(power) > 12) {
    return problem(
      'AMP_ESPI_VALUE',
      `powerOfTenMultiplier is not -12 to 12: ${power}`,
      'have the utility mend it',
    );
  }
  if (kept !== undefined && kept !== DELTA_DATA) {
    const named = ACCUMULATIONS[kept];
    return problem(
      'AMP_ESPI_ACCUMULATION',
      `accumulationBehaviour is ${kept}${named === undefined ? '' : ` (${named})`}; energy of intervals is 4 (deltaData)`,
      'export interval data, not the readings of a register',
    );
  }
  const right = wanted === 'import' ? 1 : 19;
  if (flow !== right && flow !== undefined && flow !== 0) {
    const named = FLOWS[flow];
    return problem(
      'AMP_ESPI_FLOW',
      `flowDirection is ${flow}${named === undefined ? '' : ` (${named})`}; wanted is ${right} (${FLOWS[right]})`,
      'export the energy that the house draws, or leave the other readings out when importing',
    );
  }
  const assumed: string[] = [];
  if (kept === undefined) assumed.push('that its readings are the energy of each interval');
  if (flow !== right) assumed.push(`that it is energy ${FLOWS[right]}`);
  return { power: power + 3, assumed };
}

/** What the file says of the currency of its costs, against the site's. */
export function judgeCurrency(type: ReadingType, site: string): 'same' | 'untold' | FileProblem {
  const { currency } = type;
  if (currency === undefined || currency === 0) return 'untold';
  const letters = currencyOfNumber(currency);
  if (letters === site) return 'same';
  return {
    code: 'AMP_ESPI_CURRENCY',
    line: type.line,
    place: 'ReadingType',
    message: `the costs are in ${letters ?? `a currency of the unknown number ${currency}`}; the site's are in ${site}`,
    remedy: 'check site.currency, or export the file without costs',
  };
}
