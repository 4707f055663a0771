import { blockProblems } from './blocks.ts';
import { chargeProblems } from './charges.ts';
import { holidayProblems, noSuchDate } from './dates.ts';
import type { PartlyEnergy, PartlyTariffs } from './partly.ts';
import { periodProblems } from './periods.ts';
import { pricingProblems, slotPriceProblems } from './prices.ts';
import type { ProblemPath, TariffProblem } from './problem.ts';
import { seasonProblems } from './seasons.ts';

export { problemText, type TariffProblem } from './problem.ts';

/**
 * Everything that keeps the tariffs from giving each slot and each line of a bill one price. The
 * one place that knows it: for compiling, which refuses, and for the configuration, which tells
 * where in the file it stands.
 *
 * @param tariffs as the file has them, or as far as they are there: see Partly
 */
export function tariffProblems(tariffs: PartlyTariffs): TariffProblem[] {
  const begun = new Map<string, string>();
  return Object.entries(tariffs).flatMap(([id, tariff]): TariffProblem[] => {
    if (tariff === undefined) return [];
    const { valid_from: date, energy, charges } = tariff;
    const first = date === undefined ? undefined : begun.get(date);
    if (date !== undefined && first === undefined) begun.set(date, id);
    return [
      ...noSuchDate([id, 'valid_from'], date),
      ...(first === undefined ? [] : [sameDate(id, first)]),
      ...(energy === undefined ? [] : energyProblems([id, 'energy'], energy)),
      ...chargeProblems([id, 'charges'], charges),
    ];
  });
}

const sameDate = (id: string, first: string): TariffProblem => ({
  code: 'AMP_TARIFF_SAME_DATE',
  path: [id, 'valid_from'],
  found: `the date on which ${first} begins`,
  allowed: 'a date of its own for each tariff',
  remedy: 'let one tariff follow the other, or keep only one',
});

function energyProblems(path: ProblemPath, energy: PartlyEnergy): TariffProblem[] {
  switch (energy.kind) {
    case 'slot-prices':
      return slotPriceProblems(path, energy);
    case 'flat':
      return [
        ...pricingProblems(path, energy, energy),
        ...seasonProblems([...path, 'seasons'], energy.seasons),
        ...blockProblems(path, energy, [energy]),
      ];
    case 'time-of-use': {
      const rates = energy.rates ?? {};
      return [
        ...Object.entries(rates).flatMap(([id, rate]) =>
          rate === undefined ? [] : pricingProblems([...path, 'rates', id], rate, energy),
        ),
        ...seasonProblems([...path, 'seasons'], energy.seasons),
        ...blockProblems(path, energy, Object.values(rates)),
        ...holidayProblems([...path, 'holidays'], energy.holidays),
        ...periodProblems(path, energy),
      ];
    }
    default:
      return [];
  }
}
