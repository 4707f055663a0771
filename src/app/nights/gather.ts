import { type BookStore, countedEntries } from '../../books/index.ts';
import { usualSetting, type WarmingDevice } from '../../heat/index.ts';
import type { StoreReader } from '../../storage/index.ts';
import {
  cost,
  HOUR,
  type Instant,
  later,
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  SLOT,
  type Span,
} from '../../units/index.ts';
import { probesOf, slotMeans } from '../climate-means.ts';
import type { House } from '../house.ts';
import { ownDevices } from '../own-devices.ts';
import type { PriceAt } from '../slot-price.ts';
import type { Night } from './span.ts';

export type NightStore = Pick<BookStore, 'entries' | 'corrections' | 'slotPrices' | 'extent'> &
  Pick<StoreReader, 'climate'>;

/** What a tank's own heaters drew in a night that is over, and what that rests on. */
export interface TankNight {
  readonly energy: MilliwattHours;
  /** Undefined where a part of the energy has no price. */
  readonly cost: MicroUnits | undefined;
  /** Part of the night that its heaters' own plugs account for, 0–1. */
  readonly coverage: number;
  /** Sum of T − T_room, K·h; undefined where probes were silent for more than a tenth of it. */
  readonly degreeHours: number | undefined;
  /** Mean of the water, °C. */
  readonly tankC: number | undefined;
  /** Heat of its other devices into the water by slot from the start, W; undefined where unknown. */
  readonly otherW: readonly number[] | undefined;
}

/** By slot from the evening on, °C; undefined where no probe spoke. */
export type RoomAir = readonly (number | undefined)[];

export interface NightFacts {
  /** Tanks that have heaters of their own. */
  readonly tanks: ReadonlyMap<string, TankNight>;
  readonly rooms: ReadonlyMap<string, RoomAir>;
}

/** One night being read from the books, a piece at a time. */
export interface Gathering {
  readonly night: Night;
  /** Reads on; false when all of it is read. */
  step(): boolean;
  facts(): NightFacts;
}

/** The longest night, when the clock is set back in it. */
export const LONGEST = (11 * HOUR) / SLOT;
/** Where less of a thing is known, all of it counts as unknown. */
export const ENOUGH_KNOWN = 0.9;
/** Rows of the store to read at once: what comes in meanwhile waits for a few dozen ms at most. */
const ROWS = 6_000;
const SLOT_H = SLOT / HOUR;

interface Sums {
  readonly room: string;
  readonly heaters: number;
  /** Devices that warm the water beside its heaters. */
  readonly others: number;
  /** Where its water is taken to be: without a probe. */
  readonly usualC: number | undefined;
  /** By price. */
  readonly energy: Map<MicroPerKwh | undefined, number>;
  covered: number;
  readonly otherW: number[];
  othersCovered: number;
  tankSum: number;
  tankCount: number;
  degreeSum: number;
  degreeCount: number;
}

export function beginGathering(
  night: Night,
  house: House,
  store: NightStore,
  priceAt: PriceAt,
): Gathering {
  const { config, basis } = house;
  const end = later(night.from, LONGEST * SLOT);
  const length = (night.to - night.from) / SLOT;
  const probes = probesOf(house);
  const rooms = new Map<string, (number | undefined)[]>(
    Object.keys(config.rooms).map((room) => [
      room,
      new Array((end - night.evening) / SLOT).fill(undefined),
    ]),
  );
  const tanks = new Map<string, Sums>();
  const owners = new Map<string, { readonly sums: Sums; readonly device: WarmingDevice }>();
  for (const [tank, { devices, heaterW }] of ownDevices(house)) {
    const spec = config.tanks[tank];
    if (spec === undefined || heaterW === 0) continue;
    const warming = devices.filter(({ heater, intoWater }) => heater || intoWater > 0);
    const heaters = warming.filter(({ heater }) => heater).length;
    const sums: Sums = {
      ...{ room: spec.room, heaters, others: warming.length - heaters },
      usualC: probes.tank.has(tank) ? undefined : usualSetting(spec).tankC,
      ...{ energy: new Map(), covered: 0, otherW: new Array(LONGEST).fill(0), othersCovered: 0 },
      ...{ tankSum: 0, tankCount: 0, degreeSum: 0, degreeCount: 0 },
    };
    tanks.set(tank, sums);
    for (const device of warming) owners.set(device.id, { sums, device });
  }
  const rows = Object.keys(config.devices).length + Object.keys(config.probes).length;
  const piece = Math.max(1, Math.floor(ROWS / Math.max(1, rows))) * SLOT;
  let at = night.evening;

  function readAir(part: Span): void {
    const means = slotMeans(store.climate(part));
    for (const [room, air] of rooms) {
      for (const { slot, celsius } of means(probes.room.get(room))) {
        air[(slot - night.evening) / SLOT] = celsius;
      }
    }
    const dark = { from: Math.max(part.from, night.from), to: Math.min(part.to, night.to) };
    for (const [tank, sums] of tanks) {
      const air = rooms.get(sums.room);
      const water = new Map(
        means(probes.tank.get(tank)).map(({ slot, celsius }) => [slot, celsius]),
      );
      for (let slot = dark.from; slot < dark.to; slot += SLOT) {
        const measured = water.get(slot as Instant);
        if (measured !== undefined) {
          sums.tankSum += measured;
          sums.tankCount += 1;
        }
        const tankC = measured ?? sums.usualC;
        const roomC = air?.[(slot - night.evening) / SLOT];
        if (tankC === undefined || roomC === undefined) continue;
        sums.degreeSum += (tankC - roomC) * SLOT_H;
        sums.degreeCount += 1;
      }
    }
  }

  function readEntries(part: Span): void {
    for (const entry of countedEntries(part, store, basis)) {
      const owner = owners.get(entry.device);
      if (owner === undefined) continue;
      const { sums, device } = owner;
      if (!device.heater) {
        const place = (entry.slot - night.from) / SLOT;
        const watts = (entry.energy / 1000 / SLOT_H) * device.intoWater;
        sums.otherW[place] = (sums.otherW[place] ?? 0) + watts;
        sums.othersCovered += entry.covered;
      } else if (entry.slot < night.to) {
        const price = priceAt(entry.slot);
        sums.energy.set(price, (sums.energy.get(price) ?? 0) + entry.energy);
        // What is reckoned, or divided by reckoning, says nothing of this night.
        if (entry.known !== 'reckoned' && entry.divided === undefined)
          sums.covered += entry.covered;
      }
    }
  }

  return {
    night,
    step() {
      const part = { from: at, to: Math.min(later(at, piece), end) as Instant };
      readAir(part);
      const dark = { from: Math.max(part.from, night.from) as Instant, to: part.to };
      if (dark.from < dark.to) readEntries(dark);
      at = part.to;
      return at < end;
    },
    facts: () => ({
      rooms,
      tanks: new Map([...tanks].map(([tank, sums]) => [tank, nightOf(sums, length)])),
    }),
  };
}

function nightOf(sums: Sums, length: number): TankNight {
  const { tankSum, tankCount, degreeSum, degreeCount, others } = sums;
  const isMeasured = degreeCount >= ENOUGH_KNOWN * length;
  const known = others === 0 ? 1 : sums.othersCovered / (others * LONGEST * SLOT);
  return {
    ...moneyOf(sums.energy),
    coverage: Math.min(1, sums.covered / (sums.heaters * length * SLOT)),
    degreeHours: isMeasured ? (degreeSum * length) / degreeCount : undefined,
    tankC: tankCount >= ENOUGH_KNOWN * length ? tankSum / tankCount : undefined,
    otherW: known >= ENOUGH_KNOWN ? sums.otherW : undefined,
  };
}

/** Rounded once for each price, on the sum of its energy. */
function moneyOf(byPrice: Sums['energy']): Pick<TankNight, 'energy' | 'cost'> {
  let energy = 0;
  let money: number | undefined = 0;
  for (const [price, part] of byPrice) {
    energy += part;
    if (part === 0) continue;
    money =
      price === undefined || money === undefined
        ? undefined
        : money + cost(part as MilliwattHours, price);
  }
  return { energy: energy as MilliwattHours, cost: money as MicroUnits | undefined };
}
