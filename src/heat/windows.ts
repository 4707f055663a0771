import { HOUR, type Instant, SLOT } from '../units/index.ts';

/** A tank's quarter-hour as climate and books have it. */
export interface TankSlot {
  readonly slot: Instant;
  /** Mean of the water, °C; undefined where no probe spoke. */
  readonly tankC: number | undefined;
  /** Mean of the air around it, °C. */
  readonly roomC: number | undefined;
  /** Mean power of its heaters, W. */
  readonly heaterW: number;
  /** Mean heat that its other devices put into the water, W: power × `heatIntoWater`. */
  readonly otherW: number;
  /** Energy that is bridged, reckoned, voided, corrected or missing: not fit to learn from. */
  readonly doubtful: boolean;
  /** A keeper was at work, or something is known to be wrong: a heater stuck on, a lid off. */
  readonly disturbed: boolean;
}

/** A span in which the water ended about as warm as it began, so that heat in was heat lost. */
export interface HeatWindow {
  readonly from: Instant;
  readonly to: Instant;
  readonly meanTankC: number;
  readonly meanRoomC: number;
  readonly heaterW: number;
  readonly otherW: number;
  /** How much warmer the water was at the end than at the beginning, K. */
  readonly changeK: number;
}

const PER_HOUR = HOUR / SLOT;
/** Shorter ones say more of the probe's noise and the store than of the loss. */
const LEAST = 3 * PER_HOUR;
/** Longer ones would average away how the loss goes with the room. */
const MOST = 6 * PER_HOUR;
/** Begin and end may differ by this, K. */
const STEADY = 0.3;
/** A thermostat's band is seldom wider; more is a water change or a probe in the air, K. */
const SWING = 1.2;
/** After a disturbance water and glass even out, and the heater makes up for it. */
const SETTLING = 2 * PER_HOUR;

interface Fit extends TankSlot {
  readonly tankC: number;
  readonly roomC: number;
}

const isFit = (slot: TankSlot): slot is Fit =>
  slot.tankC !== undefined && slot.roomC !== undefined && !slot.doubtful && !slot.disturbed;

/** Runs of slots without a hole, none of them unfit or within `SETTLING` after a disturbance. */
function quietRuns(slots: readonly TankSlot[]): Fit[][] {
  const runs: Fit[][] = [];
  let run: Fit[] = [];
  let settledFrom = Number.NEGATIVE_INFINITY;
  for (const slot of slots) {
    if (slot.disturbed) settledFrom = slot.slot + (SETTLING + 1) * SLOT;
    const last = run.at(-1);
    const follows = last !== undefined && slot.slot === last.slot + SLOT;
    const fit = isFit(slot) && slot.slot >= settledFrom;
    if ((!follows || !fit) && run.length > 0) {
      runs.push(run);
      run = [];
    }
    if (fit) run.push(slot);
  }
  if (run.length > 0) runs.push(run);
  return runs;
}

const mean = (slots: readonly Fit[], of: (slot: Fit) => number): number =>
  slots.reduce((sum, slot) => sum + of(slot), 0) / slots.length;

/** The water between two slots, °C. */
const boundary = (run: readonly Fit[], place: number): number =>
  ((run[place - 1]?.tankC ?? Number.NaN) + (run[place]?.tankC ?? Number.NaN)) / 2;

/** Where the window from `start` ends best: the water as near as can be to where it began. */
function bestEnd(run: readonly Fit[], start: number): number | undefined {
  const began = boundary(run, start);
  let low = Infinity;
  let high = -Infinity;
  let best: number | undefined;
  let least = STEADY;
  for (let place = start; place < run.length - 1 && place < start + MOST; place += 1) {
    const now = run[place]?.tankC ?? began;
    low = Math.min(low, now);
    high = Math.max(high, now);
    if (high - low > SWING) return best;
    const end = place + 1;
    const change = Math.abs(boundary(run, end) - began);
    if (end - start >= LEAST && change <= least) {
      least = change;
      best = end;
    }
  }
  return best;
}

/**
 * Cuts a tank's slots into windows that a heat loss can be learned from: 3 to 6 hours, begin and
 * end within 0.3 K, nothing doubtful in them, and nothing disturbed shortly before. Each begins
 * where the one before ended, so that an error of the temperature between them cancels.
 * @param slots of one tank, ordered by time; holes are allowed
 * @param after where the windows cut before end (a memory's `until`); the slots should begin three
 *   hours before it, for what happened shortly before
 */
export function cutWindows(slots: readonly TankSlot[], after = 0 as Instant): HeatWindow[] {
  const windows: HeatWindow[] = [];
  for (const run of quietRuns(slots)) {
    // The first and the last slot of a run only tell the temperature at its neighbor's boundary.
    let start = Math.max(1, run.filter(({ slot }) => slot < after).length);
    while (start + LEAST < run.length) {
      const end = bestEnd(run, start);
      if (end === undefined) {
        start += 1;
        continue;
      }
      const within = run.slice(start, end);
      const [first] = within;
      if (first === undefined) break;
      windows.push({
        from: first.slot,
        to: (first.slot + within.length * SLOT) as Instant,
        meanTankC: mean(within, (slot) => slot.tankC),
        meanRoomC: mean(within, (slot) => slot.roomC),
        heaterW: mean(within, (slot) => slot.heaterW),
        otherW: mean(within, (slot) => slot.otherW),
        changeK: boundary(run, end) - boundary(run, start),
      });
      start = end;
    }
  }
  return windows;
}
