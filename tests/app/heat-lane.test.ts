import { describe, expect, it } from 'vitest';
import { Group } from '../../src/app/group.ts';
import { createHeatLane } from '../../src/app/heat-lane.ts';
import type { DevicePosting } from '../../src/books/index.ts';
import type { ClimateSlot } from '../../src/readings/index.ts';
import { emptyBatch, type Store } from '../../src/storage/index.ts';
import { DAY, HOUR, type Instant, later, SLOT } from '../../src/units/index.ts';
import { storeForEach } from '../storage/store-for-each.ts';
import { loftHouse, memoryOf, NOON } from './loft.ts';

const DAYS = 20;
/** Of the invented tub, W/K; its geometry alone says something else. */
const TRUE_LOSS = 4.2;
const HELD = 24;
const START = (Math.floor(NOON / DAY) * DAY - DAYS * DAY) as Instant;

let store: Store;
storeForEach((fresh) => {
  store = fresh;
});

/** The air of the loft: a day's swing on weather that comes and goes. */
const airAt = (slot: Instant): number =>
  17 + 2 * Math.sin((2 * Math.PI * slot) / DAY) + 3 * Math.sin((2 * Math.PI * slot) / (5.3 * DAY));

/** A thermostat that holds the tub: its heater makes up for what the tub loses, and no more. */
function fill(until: Instant, loss: (slot: Instant) => number = () => TRUE_LOSS): void {
  const postings: DevicePosting[] = [];
  const climate: ClimateSlot[] = [];
  for (let slot = START; slot < until; slot = later(slot, SLOT)) {
    const wobble = ((slot / SLOT) % 7) - 3;
    const watts = loss(slot) * (HELD - airAt(slot)) * (1 + wobble / 100);
    const posting = { spread: 0, covered: SLOT, drawing: SLOT, known: 'counted', slot };
    postings.push(
      {
        ...posting,
        device: 'tub-heater',
        energy: Math.round(watts * 250),
      } as unknown as DevicePosting,
      { ...posting, device: 'tub-filter', energy: 1_500 } as unknown as DevicePosting,
    );
    const measured = (probe: string, celsius: number): ClimateSlot => ({
      ...{ slot, probe, measure: 'temperature', count: 5 },
      ...{ sum: 5 * celsius, min: celsius, max: celsius },
    });
    climate.push(measured('tub-water', HELD + wobble / 50), measured('loft-air', airAt(slot)));
  }
  store.commit({ ...emptyBatch, postings, climate });
}

function lane(...edits: readonly (readonly [string, string])[]) {
  const group = new Group();
  const made = createHeatLane(loftHouse(...edits), memoryOf(), store, group);
  return { lane: made, group };
}

/** As the daemon's ticks do, until nothing is left to learn. */
function learnAll(of: ReturnType<typeof lane>['lane'], now: Instant): void {
  for (let tick = 0; tick < DAYS + 5; tick += 1) of.learn(now);
}

describe('what the books show of a tank’s heat', () => {
  it('is its geometry at first, and says so', () => {
    const { lane: heat } = lane();
    expect(heat.fits.get('tub')).toMatchObject({ known: 'reckoned', status: 'prior' });
    expect(heat.expected.size).toBe(0);
  });

  it('becomes what it truly loses, within five parts in a hundred, and what to expect follows', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    fill(now);
    const { lane: heat } = lane();
    learnAll(heat, now);
    const fit = heat.fits.get('tub');
    expect(fit?.status).toBe('fitted');
    expect(Math.abs((fit?.lossWPerK ?? 0) / TRUE_LOSS - 1)).toBeLessThan(0.05);
    heat.learn(later(now, HOUR + 1) as Instant);
    const { duty = 0, low = 1, high = 0 } = heat.expected.get('tub') ?? {};
    expect(low).toBeLessThan(duty);
    expect(high).toBeGreaterThan(duty);
    // 200 W of heater against what the tub loses to the air of those hours.
    expect(duty).toBeGreaterThan(0.05);
    expect(duty).toBeLessThan(0.4);
  });

  it('counts of a filter what ends in the water: as is usual for its kind, or as it is told', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    fill(now);
    const filter = 'tub-filter: { kind: filter, nameplate_w: 6,';
    const usual = lane().lane;
    const dry = lane([filter, `${filter} heat_into_water: 0.25,`]).lane;
    learnAll(usual, now);
    learnAll(dry, now);
    // It draws 6 W all the time.
    expect(usual.fits.get('tub')?.meanOtherW).toBeCloseTo(0.7 * 6, 9);
    expect(dry.fits.get('tub')?.meanOtherW).toBeCloseTo(0.25 * 6, 9);
  });

  it('is not learned from the time in which a keeper was at work', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    // Half of the heat goes astray while the lid is off, the last ten days.
    const opened = later(START, 10 * DAY);
    fill(now, (slot) => (slot >= opened ? 2 * TRUE_LOSS : TRUE_LOSS));
    const { lane: heat } = lane();
    heat.disturb('tub', { from: opened, to: now });
    learnAll(heat, now);
    expect(Math.abs((heat.fits.get('tub')?.lossWPerK ?? 0) / TRUE_LOSS - 1)).toBeLessThan(0.06);
  });

  it('is found again after a restart, and no day is learned twice', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    fill(now);
    const { lane: heat, group } = lane();
    learnAll(heat, now);
    const saved = new Map(
      group.batch().states.map(({ key, state }) => [key, JSON.parse(JSON.stringify(state))]),
    );
    const again = createHeatLane(loftHouse(), memoryOf({ app: saved }), store, new Group());
    expect(again.fits.get('tub')).toEqual(heat.fits.get('tub'));
    learnAll(again, now);
    expect(again.fits.get('tub')).toEqual(heat.fits.get('tub'));
  });

  it('is forgotten when the keeper says so: the tank is its geometry again, and learned anew', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    fill(now);
    const { lane: heat, group } = lane();
    const geometry = heat.fits.get('tub');
    learnAll(heat, now);
    expect(heat.fits.get('tub')?.status).toBe('fitted');
    expect(heat.forget('tub', now)).toBe(START);
    expect(heat.fits.get('tub')).toEqual(geometry);
    expect(heat.expected.size).toBe(0);
    expect(heat.forget('tub', now)).toBeUndefined();
    expect(heat.forget('pond', now)).toBeUndefined();
    // The days before stay out of it, even where they are gone through once more after a restart.
    const saved = new Map(
      group.batch().states.map(({ key, state }) => [key, JSON.parse(JSON.stringify(state))]),
    );
    saved.delete('heat-learned');
    const again = createHeatLane(loftHouse(), memoryOf({ app: saved }), store, new Group());
    learnAll(again, now);
    expect(again.fits.get('tub')).toEqual(geometry);
  });

  it('is forgotten when a reload takes the lid off the tank, and only then', () => {
    const now = later(START, DAYS * DAY + 5 * HOUR);
    fill(now);
    const { lane: heat } = lane();
    learnAll(heat, now);
    const learned = heat.fits.get('tub');
    heat.refit(loftHouse());
    heat.learn(now);
    expect(heat.fits.get('tub')).toEqual(learned);
    const lidded = loftHouse(['volume_l: 90,', 'volume_l: 90, lid: false,']);
    heat.refit(lidded);
    heat.learn(now);
    expect(heat.fits.get('tub')).toMatchObject({ known: 'reckoned', status: 'prior' });
  });
});
