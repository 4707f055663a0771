import type { SlotMean } from '../heat/index.ts';
import type { ClimateSlot } from '../readings/index.ts';
import type { Instant } from '../units/index.ts';
import type { House } from './house.ts';

/** The probes in each tank and each room. */
export function probesOf({
  config,
}: Pick<House, 'config'>): Record<'tank' | 'room', Map<string, string[]>> {
  const probes = { tank: new Map<string, string[]>(), room: new Map<string, string[]>() };
  for (const [id, probe] of Object.entries(config.probes)) {
    for (const at of ['tank', 'room'] as const) {
      const place = probe[at];
      if (place !== undefined) probes[at].set(place, [...(probes[at].get(place) ?? []), id]);
    }
  }
  return probes;
}

/** In each slot the mean of all these probes, °C, by time. */
export function slotMeans(
  climate: readonly ClimateSlot[],
): (probes?: readonly string[]) => SlotMean[] {
  const byProbe = new Map<string, ClimateSlot[]>();
  for (const measured of climate) {
    if (measured.measure !== 'temperature' || measured.count === 0) continue;
    const known = byProbe.get(measured.probe);
    if (known === undefined) byProbe.set(measured.probe, [measured]);
    else known.push(measured);
  }
  return (probes = []) => {
    const sums = new Map<Instant, { sum: number; count: number }>();
    for (const { slot, sum, count } of probes.flatMap((probe) => byProbe.get(probe) ?? [])) {
      const known = sums.get(slot) ?? { sum: 0, count: 0 };
      sums.set(slot, { sum: known.sum + sum / count, count: known.count + 1 });
    }
    return [...sums]
      .map(([slot, { sum, count }]) => ({ slot, celsius: sum / count }))
      .sort((a, b) => a.slot - b.slot);
  };
}
