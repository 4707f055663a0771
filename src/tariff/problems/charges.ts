import type { PartlyTariff } from './partly.ts';
import {
  exactlyOne,
  type Named,
  type ProblemPath,
  sixDecimals,
  type TariffProblem,
} from './problem.ts';

type Charge = NonNullable<NonNullable<PartlyTariff['charges']>[number]>;

const KINDS = ['per_kwh', 'per_month', 'per_day', 'percent'] as const;
const ENERGY = 'energy';

/** Each charge is of one kind, has a name of its own, and is a percent of nothing but what is above. */
export function chargeProblems(
  path: ProblemPath,
  charges: PartlyTariff['charges'],
): TariffProblem[] {
  const names = (charges ?? []).map((charge) => charge?.name);
  return (charges ?? []).flatMap((charge, index): TariffProblem[] => {
    if (charge === undefined) return [];
    const at = [...path, index];
    return [
      ...exactlyOne(at, charge, KINDS, 'make two charges of it, or keep what is meant'),
      ...KINDS.flatMap((kind) => sixDecimals([...at, kind], charge[kind])),
      ...takenName([...at, 'name'], charge.name, names.slice(0, index)),
      ...baseProblems(at, charge, index, names),
    ];
  });
}

function takenName(
  path: ProblemPath,
  name: string | undefined,
  above: readonly (string | undefined)[],
): TariffProblem[] {
  if (name === undefined || (name !== ENERGY && !above.includes(name))) return [];
  return [
    {
      code: 'AMP_TARIFF_CHARGE',
      path,
      found: name === ENERGY ? 'the word for the energy itself' : 'the name of a charge above',
      allowed: 'a name of its own for each charge',
      remedy: 'name it as the bill does, with a word more where two are alike',
    },
  ];
}

function baseProblems(
  path: ProblemPath,
  charge: Charge,
  index: number,
  names: readonly (string | undefined)[],
): TariffProblem[] {
  const { of } = charge;
  if (of === undefined || typeof of === 'string') return [];
  if (!('percent' in charge)) return [notPercent([...path, 'of'])];
  const above = names.slice(0, index);
  return of.flatMap((name, place): TariffProblem[] => {
    if (name === undefined) return [];
    const at = [...path, 'of', place];
    if (of.indexOf(name) < place) return [twice(at)];
    if (name === ENERGY || above.includes(name)) return [];
    if (name === charge.name) return [notAbove(at, 'a percent of itself')];
    if (names.includes(name)) return [notAbove(at, 'a charge further down')];
    // One above whose name cannot be told may be the one.
    if (above.includes(undefined)) return [];
    const among = above.flatMap((each = '', line) => ({
      name: each,
      path: [...path.slice(0, -1), line, 'name'],
    }));
    return [unknownBase(at, name, among)];
  });
}

const CODE = 'AMP_TARIFF_BASE';

const notPercent = (path: ProblemPath): TariffProblem => ({
  code: CODE,
  path,
  at: 'key',
  found: 'of, but no percent',
  allowed: 'of only with percent',
  remedy: 'remove it, or make it a percent',
});

const twice = (path: ProblemPath): TariffProblem => ({
  code: CODE,
  path,
  found: 'a line that is named already',
  allowed: 'each line once',
  remedy: 'remove one of the two',
});

const notAbove = (path: ProblemPath, found: string): TariffProblem => ({
  code: CODE,
  path,
  found,
  allowed: 'energy, or charges above this one',
  remedy: 'put the charges in the order in which the bill applies them',
});

const unknownBase = (path: ProblemPath, name: string, above: readonly Named[]): TariffProblem => ({
  code: CODE,
  path,
  allowed: 'energy, or the name of a charge above',
  remedy: 'write it as the charge is named',
  named: { name, among: [{ name: ENERGY }, ...above] },
});
