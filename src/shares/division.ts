import { CodedError, type Millis, type MilliwattHours } from '../units/index.ts';
import { type DividedConfig, type SharesConfig, UPKEEP } from './config.ts';
import { ALL_UPKEEP, type Share, wholeWeights } from './share.ts';

/** Whose a device is at some time, as the config says it. None of the three: the upkeep's. */
export interface Belonging {
  readonly tank?: string | undefined;
  readonly shares?: SharesConfig | undefined;
  readonly divided?: DividedConfig | undefined;
}

/** What must be known of a tank to divide by it. */
export interface TankFacts {
  /** Water it holds, L. */
  readonly volume_l: number | undefined;
  /** UA, fitted or from geometry, W/K. */
  readonly lossWPerK: number | undefined;
  /** Where its water is kept, °C. */
  readonly keptC: number | undefined;
}

/** Whose a device is, ready to divide by. Tanks stand in the order of their ids. */
export type Division =
  | { readonly kind: 'fixed'; readonly shares: readonly Share[] }
  /** What each tank needs to be kept warm, W. What is given beyond their sum goes to the upkeep. */
  | {
      readonly kind: 'heat-need';
      readonly needs: readonly { readonly tank: string; readonly watts: number }[];
    };

/** What a device used in a local day: by it a heat need is measured. */
export interface Used {
  readonly energy: MilliwattHours;
  /** The time in which that is known to have been used. */
  readonly time: Millis;
}

const MILLION = 1_000_000;
/** Water is weighed by the milliliter. */
const ML_PER_L = 1000;
/** W × ms in one mWh. */
const WATT_MS_PER_MWH = 3600;

/**
 * Makes a rule ready to divide by. The order in which the config names the tanks changes nothing.
 * @throws CodedError AMP_SHARES_TANK when a tank lacks what the rule goes by; the config check finds
 *   that first.
 */
export function divisionOf(
  { tank, shares, divided }: Belonging,
  tanks: Readonly<Record<string, TankFacts>>,
): Division {
  if (divided === undefined) {
    return fixed(shares === undefined ? [{ tank: tank ?? UPKEEP, weight: 1 }] : weighed(shares));
  }
  switch (divided.by) {
    case 'equal':
      return fixed(divided.among.map((id) => ({ tank: id, weight: 1 })));
    case 'volume': {
      const among = [...divided.among].sort();
      const liters = among.map((id) => known(id, 'volume_l', tanks));
      const weights = wholeWeights(liters, ML_PER_L);
      return fixed(among.map((id, index) => ({ tank: id, weight: weights[index] ?? 0 })));
    }
    case 'outlets':
      return fixed(Object.entries(divided.outlets).map(([id, weight]) => ({ tank: id, weight })));
    case 'heat-need':
      return {
        kind: 'heat-need',
        needs: divided.among.map((id) => needOf(id, divided.room_without_c, tanks)).sort(byTank),
      };
  }
}

const fixed = (shares: readonly Share[]): Division => ({
  kind: 'fixed',
  shares: [...shares].sort(byTank),
});

/** To the millionth, and in proportion to their sum, so that three times 0.333 are three thirds. */
function weighed(fractions: SharesConfig): readonly Share[] {
  const shares = Object.entries(fractions)
    .map(([tank, fraction]) => ({ tank, weight: Math.round(fraction * MILLION) }))
    .filter(({ weight }) => weight > 0);
  return shares.length === 0 ? ALL_UPKEEP : shares;
}

const byTank = (a: { readonly tank: string }, b: { readonly tank: string }): number =>
  a.tank < b.tank ? -1 : 1;

function needOf(
  tank: string,
  roomC: number,
  tanks: Readonly<Record<string, TankFacts>>,
): { readonly tank: string; readonly watts: number } {
  const above = Math.max(0, known(tank, 'keptC', tanks) - roomC);
  return { tank, watts: known(tank, 'lossWPerK', tanks) * above };
}

function known(
  tank: string,
  fact: keyof TankFacts,
  tanks: Readonly<Record<string, TankFacts>>,
): number {
  const value = tanks[tank]?.[fact];
  if (value !== undefined) return value;
  const lacks = { volume_l: 'volume', lossWPerK: 'heat loss', keptC: 'kept temperature' }[fact];
  throw new CodedError('AMP_SHARES_TANK', `a device is divided by the ${lacks} of ${tank}`, {
    remedy: 'give the tank volume_l or dimensions_cm, and keep_c; or divide by something else',
  });
}

/**
 * The shares by which everything of one device's local day is divided, money too. Of a heat need:
 * as long as no more is given than all tanks together need, in proportion to the needs; of more,
 * each tank gets its need over that time, and the upkeep what is left, for that has warmed the room.
 */
export function sharesIn(division: Division, { energy, time }: Used): readonly Share[] {
  if (division.kind === 'fixed') return division.shares;
  const { needs } = division;
  const needed = needs.reduce((sum, { watts }) => sum + watts, 0);
  if (needed <= 0) return ALL_UPKEEP;
  // Of energy without a time nobody can say that it was more than needed.
  const given = time > 0 ? (energy * WATT_MS_PER_MWH) / time : 0;
  const weights = wholeWeights([...needs.map(({ watts }) => watts), Math.max(0, given - needed)]);
  return [...needs.map(({ tank }) => tank), UPKEEP]
    .map((tank, index) => ({ tank, weight: weights[index] ?? 0 }))
    .filter(({ weight }) => weight > 0);
}
