import { entriesOf, isWrong, type PartlyFlat, type PartlyTimeOfUse } from './partly.ts';
import {
  exactlyOne,
  type ProblemPath,
  sixDecimals,
  type TariffProblem,
  unknownName,
} from './problem.ts';

type Pricing = Pick<PartlyFlat, 'price_per_kwh' | 'prices_per_kwh'>;
type Ends = readonly (number | undefined)[];

const CODE = 'AMP_TARIFF_BLOCKS';

/** Where blocks end, and that each rate has as many prices as there are blocks. */
export function blockProblems(
  path: ProblemPath,
  energy: PartlyFlat | PartlyTimeOfUse,
  pricings: readonly (Pricing | undefined)[],
): TariffProblem[] {
  const { blocks, seasons } = energy;
  if (blocks === undefined) return [];
  const at = [...path, 'blocks'];
  const { ends_kwh: always, ends_kwh_by_season: bySeason } = blocks;
  const lists: [ProblemPath, Ends][] = [
    ...(always === undefined ? [] : [[[...at, 'ends_kwh'], always] as [ProblemPath, Ends]]),
    ...entriesOf(bySeason).map(([season, ends]): [ProblemPath, Ends] => [
      [...at, 'ends_kwh_by_season', season],
      ends,
    ]),
  ];
  const [first] = lists;
  return [
    ...exactlyOne(at, blocks, ['ends_kwh', 'ends_kwh_by_season'], 'keep the one that is meant'),
    ...lists.flatMap(([each, ends]) => risingProblems(each, ends)),
    ...(bySeason === undefined || isWrong(energy, 'seasons')
      ? []
      : seasonNames([...at, 'ends_kwh_by_season'], bySeason, Object.keys(seasons ?? {}))),
    ...lists.flatMap(([each, { length }]) =>
      first === undefined || length === first[1].length
        ? []
        : [unequal(each, length, first[1].length)],
    ),
    ...(first === undefined ? [] : priceCounts(path, energy, pricings, first[1].length + 1)),
  ];
}

function risingProblems(path: ProblemPath, ends: Ends): TariffProblem[] {
  return ends.flatMap((end, index): TariffProblem[] => {
    const at = [...path, index];
    const before = ends[index - 1];
    if (end === undefined || before === undefined || before < end) return sixDecimals(at, end);
    return [
      {
        code: CODE,
        path: at,
        allowed: `more than ${before}, where the block before it ends`,
        remedy: 'write where each block ends, counted from the first kWh; not how wide it is',
      },
    ];
  });
}

function seasonNames(
  path: ProblemPath,
  bySeason: object,
  seasons: readonly string[],
): TariffProblem[] {
  const given = Object.keys(bySeason);
  return [
    ...given.flatMap((season) =>
      unknownName('AMP_TARIFF_SEASON', [...path, season], season, seasons, 'a season').map(
        (problem): TariffProblem => ({ ...problem, at: 'key', found: `the key ${season}` }),
      ),
    ),
    ...seasons
      .filter((season) => !given.includes(season))
      .map(
        (season): TariffProblem => ({
          code: CODE,
          path,
          at: 'key',
          found: `no blocks for ${season}`,
          allowed: 'blocks for each season',
          remedy: `add ${season}`,
        }),
      ),
  ];
}

const unequal = (path: ProblemPath, given: number, count: number): TariffProblem => ({
  code: CODE,
  path,
  at: 'key',
  found: ends(given),
  allowed: `${ends(count)}, as in the first season`,
  remedy: 'where a season has fewer blocks, end one anywhere and let rates repeat its price',
});

function priceCounts(
  path: ProblemPath,
  energy: PartlyFlat | PartlyTimeOfUse,
  pricings: readonly (Pricing | undefined)[],
  blocks: number,
): TariffProblem[] {
  const lists = pricings.flatMap((pricing, index): [ProblemPath, number][] => {
    const prices = pricing?.prices_per_kwh;
    if (prices === undefined) return [];
    const rate =
      energy.kind === 'time-of-use' ? ['rates', Object.keys(energy.rates ?? {})[index] ?? ''] : [];
    return [[[...path, ...rate, 'prices_per_kwh'], prices.length]];
  });
  const allSame = pricings.every((pricing) => pricing !== undefined && 'price_per_kwh' in pricing);
  return [
    ...lists
      .filter(([, count]) => count !== blocks)
      .map(
        ([at, count]): TariffProblem => ({
          code: CODE,
          path: at,
          at: 'key',
          found: `${count} prices for ${blocks} blocks`,
          allowed: `${blocks} prices: ${ends(blocks - 1)}, and what comes after`,
          remedy: 'give each block its price, the last one too',
        }),
      ),
    ...(allSame && pricings.length > 0
      ? [
          {
            code: CODE,
            path: [...path, 'blocks'],
            at: 'key',
            found: 'blocks, but one price in all of them',
            allowed: 'prices_per_kwh of at least one rate',
            remedy: 'give each block its price, or remove the blocks',
          } as const,
        ]
      : []),
  ];
}

const ends = (count: number): string => `${count} end${count === 1 ? '' : 's'}`;
