import { type AccountBasis, stripsFrom } from '../books/index.ts';
import type { Config } from '../config/index.ts';
import { boxOf, priorFromGeometry, usualSetting } from '../heat/index.ts';
import { compileShares, type TankFacts } from '../shares/index.ts';
import { compileTariffs } from '../tariff/index.ts';
import { Calendar, type MilliwattHours } from '../units/index.ts';

/**
 * Everything of a configuration that decides what the books say a past day cost, and whom. Plain
 * data: it is stored while it is in force, so that a changed file can be held against it.
 */
export interface Terms {
  readonly zone: string;
  readonly currency: string;
  readonly tariffs: Config['tariffs'];
  readonly devices: Config['devices'];
  readonly remainders: Readonly<Record<string, { readonly remainder?: string }>>;
  readonly tanks: Readonly<Record<string, TankFacts>>;
  readonly otherKwhPerMonth: number | undefined;
}

export function termsOf(config: Config): Terms {
  return {
    zone: config.site.time_zone,
    currency: config.site.currency,
    tariffs: config.tariffs,
    devices: config.devices,
    remainders: Object.fromEntries(
      Object.entries(config.plugs).flatMap(([id, { remainder }]) =>
        remainder === undefined ? [] : [[id, { remainder }]],
      ),
    ),
    tanks: Object.fromEntries(
      Object.entries(config.tanks).map(([id, tank]) => [id, tankFacts(tank)]),
    ),
    otherKwhPerMonth: config.household.other_kwh_per_month,
  };
}

function tankFacts(tank: Config['tanks'][string]): TankFacts {
  const setting = usualSetting(tank);
  return {
    volume_l: tank.volume_l ?? boxOf(tank)?.waterL,
    lossWPerK: priorFromGeometry(tank, setting)?.lossWPerK,
    keptC: setting.tankC,
  };
}

/** Whether accounts say the same under both. */
export const sameTerms = (a: Terms, b: Terms): boolean => JSON.stringify(a) === JSON.stringify(b);

/** @throws CodedError AMP_TARIFF_…, AMP_SHARES_… for terms that the configuration would refuse. */
export function basisOf(terms: Terms): AccountBasis {
  const calendar = new Calendar(terms.zone);
  return {
    calendar,
    tariffs: compileTariffs(terms.tariffs, calendar, terms.currency),
    devices: terms.devices,
    shares: compileShares(terms.devices, terms.tanks, calendar),
    strips: stripsFrom(terms.devices, terms.remainders),
    otherPerMonth:
      terms.otherKwhPerMonth === undefined
        ? undefined
        : (Math.round(terms.otherKwhPerMonth * 1e6) as MilliwattHours),
  };
}
