import { type DividedConfig, UPKEEP } from '../../shares/config.ts';
import type { Finding, Path } from '../problem.ts';
import type { FileInput } from '../validate.ts';
import { exactlyOne, missingReference } from './references.ts';
import type { Loose, View } from './view.ts';

/** Shares are decimal fractions: their sum may miss 1 by what binary numbers cannot hold. */
const SUM_TOLERANCE = 1e-9;

type Divided = Loose<DividedConfig>;
type Belonging = Pick<Loose<FileInput['devices'][string]>, 'tank' | 'shares' | 'divided'>;

/** What stands at `path` belongs to somebody, to the full, by a rule that can be followed. */
export function checkBelonging(view: View, path: Path, belonging: Belonging): Finding[] {
  const { tank, shares, divided } = belonging;
  const keys = ['tank', 'shares', 'divided'];
  return [
    ...exactlyOne(view, path, keys, `what serves no tank has tank: ${UPKEEP}`),
    ...missingReference(view, [...path, 'tank'], tank, 'tanks', { also: [UPKEEP] }),
    ...unknownKeys(view, [...path, 'shares'], shares),
    ...wrongSum([...path, 'shares'], shares),
    ...(divided === undefined ? [] : checkDivided(view, [...path, 'divided'], divided)),
  ];
}

function unknownKeys(view: View, path: Path, byTank: object | undefined): Finding[] {
  return Object.keys(byTank ?? {}).flatMap((tank) =>
    missingReference(view, [...path, tank], tank, 'tanks', { at: 'key', also: [UPKEEP] }),
  );
}

function wrongSum(
  path: Path,
  shares: Readonly<Record<string, number | undefined>> | undefined,
): Finding[] {
  if (shares === undefined) return [];
  let sum = 0;
  for (const share of Object.values(shares)) {
    if (share === undefined) return [];
    sum += share;
  }
  if (Math.abs(sum - 1) <= SUM_TOLERANCE) return [];
  const rest = Number((1 - sum).toFixed(9));
  return [
    {
      code: 'AMP_CONFIG_SHARES_SUM',
      path,
      at: 'key',
      found: `shares that sum to ${Number(sum.toFixed(9))}`,
      allowed: 'shares that sum to 1',
      remedy: rest > 0 ? `add ${UPKEEP}: ${rest} if the rest serves no tank` : 'lower some of them',
    },
  ];
}

function checkDivided(view: View, path: Path, divided: Divided): Finding[] {
  const eachAmong = (
    among: readonly (string | undefined)[] | undefined,
    check: (tank: string, at: Path) => Finding[],
  ): Finding[] =>
    (among ?? []).flatMap((tank, index, all) => {
      const at = [...path, 'among', index];
      if (tank === undefined) return [];
      return all.indexOf(tank) < index ? [repeated(at, tank)] : check(tank, at);
    });

  switch (divided.by) {
    case undefined:
      return [];
    case 'equal':
      return eachAmong(divided.among, (tank, at) =>
        missingReference(view, at, tank, 'tanks', { also: [UPKEEP] }),
      );
    case 'volume':
      return eachAmong(divided.among, (tank, at) =>
        tank === UPKEEP
          ? [upkeepAmong(at, 'divide by shares, or by: equal')]
          : unknownWater(view, at, tank),
      );
    case 'outlets':
      return [
        ...unknownKeys(view, [...path, 'outlets'], divided.outlets),
        ...noOutlets([...path, 'outlets'], divided.outlets),
      ];
    case 'heat-need': {
      const { room_without_c: roomC } = divided;
      return eachAmong(divided.among, (tank, at) =>
        tank === UPKEEP
          ? [upkeepAmong(at, 'leave it out: what the tanks do not need is upkeep anyway')]
          : [...unknownWater(view, at, tank), ...withoutNeed(view, at, tank, roomC)],
      );
    }
  }
}

function noOutlets(path: Path, outlets: object | undefined): Finding[] {
  if (outlets === undefined || Object.keys(outlets).length > 0) return [];
  return [
    {
      code: 'AMP_CONFIG_RANGE',
      path,
      at: 'key',
      found: 'no outlet',
      allowed: 'at least 1 entry',
      remedy: 'write each tank with the number of its outlets',
    },
  ];
}

const repeated = (path: Path, tank: string): Finding => ({
  code: 'AMP_CONFIG_DIVIDED',
  path,
  found: `${tank} for the second time`,
  allowed: 'each tank once',
  remedy: 'for uneven parts use shares',
});

const upkeepAmong = (path: Path, remedy: string): Finding => ({
  code: 'AMP_CONFIG_DIVIDED',
  path,
  allowed: 'tanks only: the upkeep holds no water',
  remedy,
});

/**
 * A tank that is there, but how much water it holds is not known: of a terrarium the dimensions do
 * not tell, as in the reckoning of heat. A tank without any size is told of at the tank.
 */
function unknownWater(view: View, path: Path, id: string): Finding[] {
  const missing = missingReference(view, path, id, 'tanks');
  if (missing.length > 0) return missing;
  const { housing } = view.file.tanks?.[id] ?? {};
  const dry = housing === 'terrarium' || housing === 'vivarium';
  if (!dry || view.given(['tanks', id, 'volume_l'])) return [];
  if (!view.given(['tanks', id, 'dimensions_cm'])) return [];
  return [
    {
      code: 'AMP_CONFIG_DIVIDED',
      path,
      found: `a ${housing} of which nobody knows how much water it holds`,
      allowed: 'tanks whose water is known',
      remedy: `give ${id} its volume_l, or divide by shares`,
    },
  ];
}

/** In a room as warm as its water a tank needs no heater. */
function withoutNeed(view: View, path: Path, id: string, roomC: number | undefined): Finding[] {
  const { set_c: set, keep_c: keep } = view.file.tanks?.[id] ?? {};
  if (roomC === undefined || (set === undefined && view.given(['tanks', id, 'set_c']))) return [];
  const { min, max } = keep ?? {};
  const middle = min === undefined || max === undefined ? undefined : (min + max) / 2;
  const kept = set ?? middle;
  if (kept === undefined || kept > roomC) return [];
  return [
    {
      code: 'AMP_CONFIG_NO_NEED',
      path,
      found: `${id}, kept at ${kept} °C, in a room of ${roomC} °C without this heater`,
      allowed: 'it, but the tank needs none of this heat and is charged nothing',
      remedy: 'lower room_without_c, or leave the tank out',
      warning: true,
    },
  ];
}

/** Whose a device is after all its moves. */
export const lastBelonging = (device: Loose<FileInput['devices'][string]>): Belonging =>
  device.moved?.at(-1) ?? device;
