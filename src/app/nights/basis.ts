import { digest, type Instant, later, type Span } from '../../units/index.ts';
import type { House } from '../house.ts';
import { ownDevices } from '../own-devices.ts';

/**
 * A word that stays the same as long as the tariff and a tank's heaters do: only such nights are
 * compared. Prices that are published by the slot are no other tariff.
 */
export type NightBasis = (tank: string, night: Span) => string;

export function nightBasis(house: House): NightBasis {
  const { tariffs } = house.basis;
  const heaters = new Map(
    [...ownDevices(house)].map(([tank, { devices }]) => {
      const own = devices.filter(({ heater }) => heater).map(({ id }) => house.config.devices[id]);
      return [tank, digest(JSON.stringify(own.map((it) => [it?.nameplate_w, it?.plug])))];
    }),
  );
  const terms = new Map<string, string>();
  const termsAt = (at: Instant): string => {
    const tariff = tariffs.tariffAt(at);
    if (tariff === undefined) return 'none';
    let word = terms.get(tariff.id);
    if (word === undefined) {
      word = digest(`${tariff.priceKey} ${tariff.hoursKey}`);
      terms.set(tariff.id, word);
    }
    return word;
  };
  return (tank, { from, to }) =>
    [...new Set([termsAt(from), termsAt(later(to, -1))]), heaters.get(tank)].join(' ');
}
