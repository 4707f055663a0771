import type { BookStore, Entry } from '../books/index.ts';
import {
  cutWindows,
  emptyHeatMemory,
  expectedDuty,
  fitOf,
  type HeatFit,
  type HeatMemory,
  type HeatModel,
  modelFromGeometry,
  readHeatMemory,
  type TankSlot,
  tankSlots,
  usualSetting,
  type WarmingDevice,
  withWindow,
} from '../heat/index.ts';
import type { StoreReader } from '../storage/index.ts';
import { DAY, HOUR, type Instant, later, SLOT, type Span, slotOf } from '../units/index.ts';
import { DUTY_SPAN, type ExpectedDuty, shapeText } from '../watches/index.ts';
import { probesOf, slotMeans } from './climate-means.ts';
import type { Group } from './group.ts';
import type { House } from './house.ts';
import type { Memory } from './memory.ts';
import { ownDevices } from './own-devices.ts';

/** What the books show of each tank's heat, learned a day at a time. */
export interface HeatLane {
  /** Learns from one more day that is over, if there is one; hourly, what to expect of the heaters. */
  learn(now: Instant): void;
  /** By tank: what was learned, or what its geometry says. */
  readonly fits: ReadonlyMap<string, HeatFit>;
  /** By tank, where enough is learned: what its heaters should have drawn lately. */
  readonly expected: ReadonlyMap<string, ExpectedDuty>;
  /**
   * Forgets how a tank loses heat, to learn it anew from now on; a shape that the config changes is
   * forgotten by itself.
   * @returns since when it had been learned; undefined where nothing was
   */
  forget(tank: string, now: Instant): Instant | undefined;
  /** A keeper is at work on a tank: nothing is learned from that time. */
  disturb(tank: string, span: Span): void;
  refit(house: House): void;
}

export type HeatStore = Pick<BookStore, 'entries' | 'corrections' | 'extent'> &
  Pick<StoreReader, 'climate' | 'alerts'>;

interface Learner {
  readonly model: HeatModel;
  readonly devices: readonly WarmingDevice[];
  /** All its heaters together, W. */
  readonly heaterW: number;
  memory: HeatMemory;
  /** What the tank was when that was learned; undefined where it was not noted. */
  shape: string | undefined;
}

/** A learner's part that is kept over a restart. */
type Learned = Pick<Learner, 'memory' | 'shape'>;
const NOTHING: Learned = { memory: emptyHeatMemory, shape: undefined };

/** Longer ago the lid, the light or the season was another. */
const LOOK_BACK = 30 * DAY;
/** Counters that move in steps are late by so much, and a disturbance is felt so long. */
const LATE = 3 * HOUR;
/** A thermostat's usual band, K. Common practice, no source. */
export const USUAL_BAND = 0.5;

export function createHeatLane(
  start: House,
  memory: Memory,
  store: HeatStore,
  group: Group,
): HeatLane {
  let house = start;
  const stored = memory.read('app');
  let learned = (stored.get('heat-learned') as { until: Instant } | undefined)?.until;
  const tended = new Map<string, Span[]>();
  let probes = probesOf(house);
  let learners = learnersOf(house, (tank) => readBack(stored.get(`heat:${tank}`)));
  const fits = new Map<string, HeatFit>();
  let expected: ReadonlyMap<string, ExpectedDuty> = new Map();
  let expectedAt = Number.NEGATIVE_INFINITY;
  /** Since the last start or config it was looked whether the tanks are what they were. */
  let shapesKnown = false;
  fitAll();

  function fitAll(): void {
    fits.clear();
    for (const [tank, { memory: seen, model }] of learners) fits.set(tank, fitOf(seen, model));
  }

  /** Every tank's quarter-hours of a span, from one reading of the books. */
  function slotsOf(span: Span): Map<string, TankSlot[]> {
    const means = slotMeans(store.climate(span));
    const troubles = troublesIn(span);
    const entries = new Map<string, Entry[]>();
    const owner = new Map(
      [...learners].flatMap(([tank, { devices }]) => devices.map(({ id }) => [id, tank] as const)),
    );
    for (const entry of store.entries(span)) {
      const tank = owner.get(entry.device);
      if (tank === undefined) continue;
      const known = entries.get(tank);
      if (known === undefined) entries.set(tank, [entry]);
      else known.push(entry);
    }
    const corrected = store.corrections(span);
    return new Map(
      [...learners].map(([tank, { devices }]) => {
        const ids = new Set([tank, ...devices.map(({ id }) => id)]);
        const record = {
          tank: means(probes.tank.get(tank)),
          room: means(probes.room.get(house.config.tanks[tank]?.room ?? '')),
          devices,
          entries: entries.get(tank) ?? [],
          corrected,
          disturbed: [...(tended.get(tank) ?? []), ...troubles(ids)],
        };
        return [tank, tankSlots(record)];
      }),
    );
  }

  /** While something was wrong with it, a tank shows nothing of how it usually is. */
  function troublesIn(span: Span): (ids: ReadonlySet<string>) => Span[] {
    const alerts = store.alerts({ span }).filter(({ severity }) => severity !== 'notice');
    return (ids) =>
      alerts
        .filter(({ subject }) => ids.has(subject.id))
        .map(({ since, closed }) => ({ from: since, to: closed ?? span.to }));
  }

  function learnDay(day: Instant): void {
    const span = { from: later(day, -LATE), to: later(day, DAY) };
    for (const [tank, slots] of slotsOf(span)) {
      const learner = learners.get(tank) as Learner;
      let seen = learner.memory;
      for (const window of cutWindows(slots, seen.until)) {
        seen = withWindow(seen, window, learner.model.storeJPerK);
      }
      if (seen === learner.memory) continue;
      learner.memory = seen;
      remember(tank, learner);
    }
  }

  function remember(tank: string, { memory: seen, model, shape }: Learner): void {
    fits.set(tank, fitOf(seen, model));
    group.save('app', `heat:${tank}`, { ...seen, shape });
  }

  function forget(tank: string, learner: Learner, now: Instant): Instant | undefined {
    const first = learner.memory.days[0];
    learner.memory = { ...emptyHeatMemory, until: now };
    remember(tank, learner);
    expected = new Map([...expected].filter(([id]) => id !== tank));
    return first === undefined ? undefined : ((first.day * DAY) as Instant);
  }

  function knowShapes(now: Instant): void {
    shapesKnown = true;
    for (const [tank, learner] of learners) {
      const before = learner.shape;
      learner.shape = shapeText(house.config.tanks[tank] as House['config']['tanks'][string]);
      if (before === learner.shape || learner.memory === emptyHeatMemory) continue;
      if (before === undefined) remember(tank, learner);
      else forget(tank, learner, now);
    }
  }

  function expect(now: Instant): void {
    expectedAt = now;
    const next = new Map<string, ExpectedDuty>();
    // The slot under way, and mostly the one before, are not booked in full yet.
    const to = later(slotOf(now), -SLOT);
    for (const [tank, slots] of slotsOf({ from: later(to, -DUTY_SPAN), to })) {
      const fit = fits.get(tank);
      const { heaterW = 0 } = learners.get(tank) ?? {};
      if (fit?.known !== 'fitted' || slots.some(({ doubtful, disturbed }) => doubtful || disturbed))
        continue;
      const tankC = mean(slots.map((slot) => slot.tankC));
      const roomC = mean(slots.map((slot) => slot.roomC));
      const otherW = mean(slots.map((slot) => slot.otherW)) ?? 0;
      if (tankC === undefined || roomC === undefined) continue;
      const over = { hours: DUTY_SPAN / HOUR, bandK: USUAL_BAND };
      const duty = expectedDuty(fit, { tankC, roomC, otherW, heaterW }, over, 0.99);
      if (duty !== undefined) next.set(tank, { duty: duty.value, low: duty.low, high: duty.high });
    }
    expected = next;
  }

  /** Where the books begin; of empty ones nothing can be learned yet. */
  const startOf = (now: Instant): Instant =>
    dayOf(Math.max(store.extent()?.from ?? now, now - LOOK_BACK));

  return {
    learn(now) {
      if (learners.size === 0) return;
      if (!shapesKnown) knowShapes(now);
      learned ??= startOf(now);
      const day = Math.max(learned, dayOf(now - LOOK_BACK)) as Instant;
      if (day + DAY + LATE <= now) {
        learnDay(day);
        learned = later(day, DAY);
        group.save('app', 'heat-learned', { until: learned });
      }
      if (Math.abs(now - expectedAt) >= HOUR) expect(now);
    },
    fits,
    get expected() {
      return expected;
    },
    forget(tank, now) {
      const learner = learners.get(tank);
      return learner && forget(tank, learner, now);
    },
    disturb(tank, span) {
      const known = (tended.get(tank) ?? []).filter(({ to }) => to > span.from - 2 * DAY);
      tended.set(tank, [...known, span]);
    },
    refit(next) {
      const before = learners;
      house = next;
      probes = probesOf(house);
      learners = learnersOf(house, (tank) => before.get(tank) ?? NOTHING);
      shapesKnown = false;
      fitAll();
      expected = new Map();
      expectedAt = Number.NEGATIVE_INFINITY;
    },
  };
}

/** The UTC day that a moment lies in. */
const dayOf = (at: number): Instant => (Math.floor(at / DAY) * DAY) as Instant;

/** Tanks of a known shape, and the devices that are theirs alone. */
function learnersOf(house: House, learnedOf: (tank: string) => Learned): Map<string, Learner> {
  const own = ownDevices(house);
  const learners = new Map<string, Learner>();
  for (const [id, tank] of Object.entries(house.config.tanks)) {
    const model = modelFromGeometry(tank, usualSetting(tank));
    if (model === undefined) continue;
    const { devices, heaterW } = own.get(id) ?? { devices: [], heaterW: 0 };
    const { memory, shape } = learnedOf(id);
    learners.set(id, { model, devices, heaterW, memory, shape });
  }
  return learners;
}

/** What cannot be read is learned again within days. */
function readBack(stored: object | undefined): Learned {
  if (stored === undefined) return NOTHING;
  try {
    return { memory: readHeatMemory(stored), shape: (stored as { shape?: string }).shape };
  } catch {
    return NOTHING;
  }
}

function mean(values: readonly (number | undefined)[]): number | undefined {
  const known = values.filter((value) => value !== undefined);
  return known.length === 0 || known.length < values.length
    ? undefined
    : known.reduce((sum, value) => sum + value, 0) / known.length;
}
