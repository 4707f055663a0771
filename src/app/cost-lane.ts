import { reckon } from '../books/index.ts';
import {
  beginMeter,
  type MeterState,
  type MeterStep,
  meter,
  readMeter,
  rebase,
} from '../metering/index.ts';
import type { Reading } from '../readings/index.ts';
import { type Instant, slotOf } from '../units/index.ts';
import type { Group } from './group.ts';
import type { House } from './house.ts';
import type { Memory } from './memory.ts';

/** Readings of plugs become postings of devices; devices without a plug are reckoned. */
export interface CostLane {
  take(reading: Reading): void;
  /** Reckons the devices without a plug up to `now`. */
  reckon(now: Instant): void;
  /** The clock jumped ahead at `at`: no power that held then goes on over the jump. */
  interrupt(at: Instant): void;
  /** Puts the states of all meters that moved since the last call into the group. */
  save(): void;
  /** Goes on with another house: meters keep their states, whatever they feed now. */
  refit(house: House): void;
}

/** What is stored of a meter: its state, and whose energy it has booked so far. */
interface SavedMeter {
  readonly device: string;
  readonly meter: MeterState;
}

export function createCostLane(start: House, memory: Memory, group: Group): CostLane {
  let house = start;
  const meters = new Map<string, SavedMeter>();
  const moved = new Set<string>();
  const reckonedUntil = new Map<string, Instant>();

  for (const [plug, saved] of memory.read('metering')) {
    const { device, meter: state } = saved as SavedMeter;
    meters.set(plug, { device, meter: readMeter(state) });
  }
  for (const [device, saved] of memory.read('reckoning')) {
    reckonedUntil.set(device, (saved as { until: Instant }).until);
  }
  settleMoves();

  /** A plug that now feeds another device must not withdraw from it what the first one used. */
  function settleMoves(): void {
    for (const [plug, { device }] of house.meters) {
      const saved = meters.get(plug);
      if (saved === undefined || saved.device === device) continue;
      meters.set(plug, { device, meter: rebase(saved.meter) });
      moved.add(plug);
    }
  }

  function book(device: string, { postings, notes }: MeterStep): void {
    for (const posting of postings) group.post({ ...posting, device });
    for (const note of notes) group.note(note);
  }

  return {
    take(reading) {
      const fitted = house.meters.get(reading.id);
      if (fitted === undefined) return;
      const { device, spec } = fitted;
      const before = meters.get(reading.id)?.meter ?? beginMeter();
      const step = meter(spec, before, reading);
      if (step.state !== before) {
        meters.set(reading.id, { device, meter: step.state });
        moved.add(reading.id);
      }
      book(device, step);
    },

    reckon(now) {
      for (const device of house.reckoned) {
        const from = reckonedUntil.get(device.device) ?? device.begins ?? slotOf(now);
        if (from >= now) continue;
        for (const posting of reckon(device, from, now)) group.post(posting);
        reckonedUntil.set(device.device, now);
        group.save('reckoning', device.device, { until: now });
      }
    },

    interrupt(at) {
      for (const [plug, { spec, device }] of house.meters) {
        const before = meters.get(plug)?.meter;
        if (before === undefined) continue;
        const step = meter(spec, before, {
          from: 'plug',
          id: plug,
          measure: 'presence',
          value: 0,
          at,
          arrived: at,
          retained: false,
        });
        meters.set(plug, { device, meter: step.state });
        moved.add(plug);
        book(device, step);
      }
    },

    save() {
      for (const plug of moved) group.save('metering', plug, meters.get(plug) ?? null);
      moved.clear();
    },

    refit(next) {
      house = next;
      settleMoves();
    },
  };
}
