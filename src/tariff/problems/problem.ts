export type ProblemPath = readonly (string | number)[];

export type TariffProblemCode =
  | 'AMP_TARIFF_BASE'
  | 'AMP_TARIFF_BLOCKS'
  | 'AMP_TARIFF_CHARGE'
  | 'AMP_TARIFF_DATE'
  | 'AMP_TARIFF_EMPTY'
  | 'AMP_TARIFF_HOLE'
  | 'AMP_TARIFF_HOLIDAY'
  | 'AMP_TARIFF_LIMITS'
  | 'AMP_TARIFF_ONE_OF'
  | 'AMP_TARIFF_OVERLAP'
  | 'AMP_TARIFF_PRICE'
  | 'AMP_TARIFF_QUARTER'
  | 'AMP_TARIFF_RATE'
  | 'AMP_TARIFF_SAME_DATE'
  | 'AMP_TARIFF_SEASON'
  | 'AMP_TARIFF_SEASON_HOLE'
  | 'AMP_TARIFF_SEASON_OVERLAP';

/** Something about the tariffs that leaves a slot or a line of the bill without a price, or with two. */
export interface TariffProblem {
  readonly code: TariffProblemCode;
  /** Where it stands, below `tariffs`. */
  readonly path: ProblemPath;
  /** It is about the key, not the value. */
  readonly at?: 'key';
  /** What is there; left out where the value itself says it. */
  readonly found?: string;
  readonly allowed: string;
  readonly remedy: string;
  /** The name that is no name, and those that are, one of which was probably meant. */
  readonly named?: { readonly name: string; readonly among: readonly Named[] };
}

/** A name, and below `tariffs` the value that it is; a key has none. */
export interface Named {
  readonly name: string;
  readonly path?: ProblemPath;
}

/** A problem in one line: where, what is there, what may be. */
export function problemText(problem: TariffProblem, tariffs: unknown): string {
  const { path, allowed } = problem;
  const found = problem.found ?? JSON.stringify(valueAt(tariffs, path)) ?? 'nothing';
  return `tariffs.${path.join('.')}: found ${found}; allowed ${allowed}`;
}

function valueAt(value: unknown, path: ProblemPath): unknown {
  let here = value;
  for (const step of path) here = (here as Record<string | number, unknown> | undefined)?.[step];
  return here;
}

/** Says that not exactly one of `keys` is there. */
export function exactlyOne(
  path: ProblemPath,
  map: object,
  keys: readonly string[],
  remedy: string,
): TariffProblem[] {
  const given = keys.filter((key) => key in map);
  if (given.length === 1) return [];
  const found = given.length === 0 ? `neither ${keys.join(' nor ')}` : given.join(' and ');
  return [
    {
      code: 'AMP_TARIFF_ONE_OF',
      path,
      at: 'key',
      found,
      allowed: `exactly one of ${keys.join(', ')}`,
      remedy,
    },
  ];
}

/** Money and energy are kept in whole millionths; what is finer would be charged as something else. */
export function sixDecimals(path: ProblemPath, value: number | undefined): TariffProblem[] {
  if (value === undefined || Number(value.toFixed(6)) === value) return [];
  return [
    {
      code: 'AMP_TARIFF_PRICE',
      path,
      allowed: 'at most six decimals',
      remedy: `round it, to ${Number(value.toFixed(6))} for instance`,
    },
  ];
}

/** Says that `name` is not among those that there are. */
export function unknownName(
  code: TariffProblem['code'],
  path: ProblemPath,
  name: string,
  among: readonly string[],
  what: string,
): TariffProblem[] {
  if (among.includes(name)) return [];
  const some = among.length === 0 ? 'there is none' : among.join(', ');
  return [
    {
      code,
      path,
      allowed: `${what}: ${some}`,
      remedy: 'take one of these, or add it',
      named: { name, among: among.map((each) => ({ name: each })) },
    },
  ];
}

/** Neighbors that are alike, as runs from one place up to, not including, another. */
export function runsOf<T>(
  list: readonly T[],
  alike: (a: T, b: T) => boolean,
): { readonly value: T; readonly from: number; readonly to: number }[] {
  const runs: { value: T; from: number; to: number }[] = [];
  list.forEach((value, place) => {
    const last = runs.at(-1);
    if (last !== undefined && alike(last.value, value)) last.to = place + 1;
    else runs.push({ value, from: place, to: place + 1 });
  });
  return runs;
}
