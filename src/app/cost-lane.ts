import { reckon } from '../books/index.ts';
import {
  beginMeter,
  draftOf,
  type MeterDraft,
  type MeterSpec,
  type MeterState,
  meterInPlace,
  readMeter,
  rebase,
} from '../metering/index.ts';
import type { Reading } from '../readings/index.ts';
import { type Instant, slotOf } from '../units/index.ts';
import { createClockTrust } from './clock-trust.ts';
import type { Group } from './group.ts';
import type { House } from './house.ts';
import type { Memory } from './memory.ts';

/** Readings of plugs become postings of devices; devices without a plug are reckoned. */
export interface CostLane {
  take(reading: Reading): void;
  /** Reckons the devices without a plug up to `now`; not over a jump of a clock that may be wrong. */
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

/** A meter as it runs: found once a reading, and changed in place. */
interface RunningMeter {
  readonly plug: string;
  /** Undefined while the plug feeds nothing. */
  spec: MeterSpec | undefined;
  device: string;
  state: MeterDraft;
  /** Since the last save. */
  moved: boolean;
}

export function createCostLane(start: House, memory: Memory, group: Group): CostLane {
  let house = start;
  const meters = new Map<string, RunningMeter>();
  const reckonedUntil = new Map<string, Instant>();
  for (const [plug, saved] of memory.read('metering')) {
    const { device, meter: state } = saved as SavedMeter;
    meters.set(plug, {
      plug,
      spec: undefined,
      device,
      state: draftOf(readMeter(state)),
      moved: false,
    });
  }
  for (const [device, saved] of memory.read('reckoning')) {
    reckonedUntil.set(device, (saved as { until: Instant }).until);
  }
  const trust = createClockTrust([...reckonedUntil.values(), ...heardUntil(meters.values())]);
  fitMeters();

  /** Gives each meter its place in the house; meters without one keep their states. */
  function fitMeters(): void {
    for (const running of meters.values()) running.spec = undefined;
    for (const [plug, { spec, device }] of house.meters) {
      const running = meters.get(plug);
      if (running === undefined) {
        meters.set(plug, { plug, spec, device, state: draftOf(beginMeter()), moved: false });
        continue;
      }
      running.spec = spec;
      if (running.device === device) continue;
      // A plug that now feeds another device must not withdraw from it what the first one used.
      running.device = device;
      running.state = draftOf(rebase(running.state));
      running.moved = true;
    }
  }

  function run(running: RunningMeter, reading: Reading): void {
    if (running.spec === undefined) return;
    const { moved, postings, notes } = meterInPlace(running.spec, running.state, reading);
    if (moved) running.moved = true;
    for (const posting of postings) group.post(running.device, posting);
    for (const note of notes) group.note(note);
  }

  return {
    take(reading) {
      const running = meters.get(reading.id);
      if (running !== undefined) run(running, reading);
    },

    reckon(now) {
      for (const device of house.reckoned) {
        const id = device.device;
        const until = reckonedUntil.get(id);
        const trusted = trust.from(id, until, now);
        if (trusted === undefined) continue;
        const from = until === undefined ? (device.begins ?? slotOf(trusted)) : trusted;
        if (from > now || until === now) continue;
        for (const posting of reckon(device, from, now)) group.post(id, posting);
        reckonedUntil.set(id, now);
        group.save('reckoning', id, { until: now });
      }
    },

    interrupt(at) {
      for (const running of meters.values()) {
        const id = running.plug;
        const gone = { from: 'plug', measure: 'presence', value: 0, retained: false } as const;
        run(running, { ...gone, id, at, arrived: at });
      }
    },

    save() {
      for (const running of meters.values()) {
        if (!running.moved) continue;
        running.moved = false;
        const { plug, device, state } = running;
        group.save('metering', plug, { device, meter: state });
      }
    },

    refit(next) {
      house = next;
      fitMeters();
    },
  };
}

/** Up to when each meter has heard its plug. */
const heardUntil = (meters: Iterable<RunningMeter>): Instant[] =>
  [...meters].flatMap(({ state }) => state.until ?? []);
