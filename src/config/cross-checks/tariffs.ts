import { type TariffProblem, tariffProblems } from '../../tariff/config.ts';
import { nearest } from '../nearest.ts';
import type { Finding, Path, ProblemCode } from '../problem.ts';
import type { View } from './view.ts';

/** Whatever the tariff room has against the tariffs, placed in the file. */
export function checkTariffs(view: View): Finding[] {
  const tariffs = view.file.tariffs ?? {};
  const findings = tariffProblems(tariffs).map((problem) => findingOf(view, problem));
  if (Object.keys(tariffs).length > 0 || view.ids('tariffs') === undefined) return findings;
  return [
    {
      code: 'AMP_CONFIG_NO_TARIFF',
      path: ['tariffs'],
      at: 'key',
      found: 'no tariff',
      allowed: 'none, but every cost is then unknown',
      remedy: 'add what your utility charges',
      warning: true,
    },
  ];
}

function findingOf(view: View, problem: TariffProblem): Finding {
  const { code, path, remedy, named, ...words } = problem;
  return {
    ...words,
    code: CODES[code],
    path: inFile(path),
    remedy: (named === undefined ? undefined : meant(view, path, named)) ?? remedy,
  };
}

/** Neither a secret is told, nor what is like one. */
function meant(
  view: View,
  path: Path,
  { name, among }: NonNullable<TariffProblem['named']>,
): string | undefined {
  const isSecret = (at: Path | undefined): boolean => at !== undefined && view.secret(inFile(at));
  if (isSecret(path)) return undefined;
  const open = among.flatMap((each) => (isSecret(each.path) ? [] : [each.name]));
  const near = nearest(name, open);
  return near === undefined ? undefined : `did you mean ${near}?`;
}

const inFile = (path: Path): Path => ['tariffs', ...path];

/** What the room calls it, and what it is called in a file. */
const CODES: Readonly<Record<TariffProblem['code'], ProblemCode>> = {
  AMP_TARIFF_BASE: 'AMP_CONFIG_CHARGES',
  AMP_TARIFF_BLOCKS: 'AMP_CONFIG_BLOCKS',
  AMP_TARIFF_CHARGE: 'AMP_CONFIG_CHARGES',
  AMP_TARIFF_DATE: 'AMP_CONFIG_DATE',
  AMP_TARIFF_EMPTY: 'AMP_CONFIG_HOURS',
  AMP_TARIFF_HOLE: 'AMP_CONFIG_TARIFF_HOURS',
  AMP_TARIFF_HOLIDAY: 'AMP_CONFIG_HOLIDAYS',
  AMP_TARIFF_LIMITS: 'AMP_CONFIG_RANGE',
  AMP_TARIFF_ONE_OF: 'AMP_CONFIG_ONE_OF',
  AMP_TARIFF_OVERLAP: 'AMP_CONFIG_TARIFF_HOURS',
  AMP_TARIFF_PRICE: 'AMP_CONFIG_PRICE',
  AMP_TARIFF_QUARTER: 'AMP_CONFIG_HOURS',
  AMP_TARIFF_RATE: 'AMP_CONFIG_REFERENCE',
  AMP_TARIFF_SAME_DATE: 'AMP_CONFIG_TARIFF_DATES',
  AMP_TARIFF_SEASON: 'AMP_CONFIG_REFERENCE',
  AMP_TARIFF_SEASON_HOLE: 'AMP_CONFIG_SEASONS',
  AMP_TARIFF_SEASON_OVERLAP: 'AMP_CONFIG_SEASONS',
};
