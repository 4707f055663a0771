import { Group } from '../../../src/app/group.ts';
import type { House } from '../../../src/app/house.ts';
import { createNightLane, type NightLane } from '../../../src/app/night-lane.ts';
import { type BookStore, createAccountBook, type DevicePosting } from '../../../src/books/index.ts';
import { emptyHeatMemory, fitOf, type HeatFit } from '../../../src/heat/index.ts';
import type { ClimateSlot } from '../../../src/readings/index.ts';
import { emptyBatch, type Store } from '../../../src/storage/index.ts';
import {
  type Instant,
  type Logger,
  later,
  MINUTE,
  type Millis,
  milliwattHours,
  SLOT,
  type Span,
} from '../../../src/units/index.ts';
import { memoryOf } from '../loft.ts';

/** Where the tub is held, °C, and what it truly loses, W/K. */
export const HELD = 24;
export const LOSS = 4;

/** As if learned over 20 days, and right: 4 W for each kelvin, nothing else. */
export const tubFit: HeatFit = {
  ...fitOf(emptyHeatMemory, { lossWPerK: LOSS, offsetW: 0, storeJPerK: 376_740 }),
  status: 'fitted',
  known: 'fitted',
  days: 20,
  covariance: [
    [0.01, 0, 0],
    [0, 0, 0],
    [0, 0, 0],
  ],
  hourlyNoiseW: 0.5,
};

export interface Life {
  /** Of the loft, °C. */
  readonly air?: (slot: Instant) => number;
  /** What the heater draws, W; undefined: its plug is silent. */
  readonly watts?: (slot: Instant) => number | undefined;
}

/** Quarter-hours of the tub: a heater that makes up for what is lost, and a filter of 6 W. */
export function live(store: Store, span: Span, { air = () => 17, watts }: Life = {}): void {
  const postings: DevicePosting[] = [];
  const climate: ClimateSlot[] = [];
  for (let slot = span.from; slot < span.to; slot = later(slot, SLOT)) {
    const post = (device: string, power: number): void => {
      postings.push({
        ...{ device, slot, known: 'counted', spread: milliwattHours(0) },
        ...{ covered: SLOT, drawing: SLOT, energy: milliwattHours(Math.round(power * 250)) },
      });
    };
    const measured = (probe: string, celsius: number): void => {
      climate.push({
        ...{ slot, probe, measure: 'temperature', count: 5 },
        ...{ sum: 5 * celsius, min: celsius, max: celsius },
      });
    };
    const power = watts === undefined ? LOSS * (HELD - air(slot)) : watts(slot);
    if (power !== undefined) post('tub-heater', power);
    post('tub-filter', 6);
    measured('tub-water', HELD);
    measured('loft-air', air(slot));
  }
  store.commit({ ...emptyBatch, postings, climate });
}

export const silentLog: Logger = {
  debug: () => undefined,
  info: () => undefined,
  warn: () => undefined,
  error: () => undefined,
};

export function nightLane(
  house: House,
  store: Store,
  more: {
    readonly states?: ReadonlyMap<string, object>;
    readonly fits?: ReadonlyMap<string, HeatFit>;
    readonly logger?: Logger;
  } = {},
): { readonly lane: NightLane; readonly group: Group } {
  const group = new Group();
  const books = createAccountBook(store as BookStore, house.basis);
  const lane = createNightLane(house, {
    ...{ store, group, books, logger: more.logger ?? silentLog },
    memory: memoryOf(more.states === undefined ? {} : { app: more.states }),
    fits: more.fits ?? new Map([['tub', tubFit]]),
  });
  return { lane, group };
}

/** As the daemon's ticks do, so many minutes apart. */
export function tick(
  lane: NightLane,
  span: Span,
  each: (now: Instant) => void = () => undefined,
  step = 5 * MINUTE,
): void {
  for (let now = span.from; now < span.to; now = later(now, step as Millis)) {
    lane.learn(now);
    each(now);
  }
}

/** What the daemon would find after a restart. */
export const statesOf = (group: Group): Map<string, object> =>
  new Map(
    group
      .batch()
      .states.map(({ key, state }) => [key, JSON.parse(JSON.stringify(state)) as object]),
  );
