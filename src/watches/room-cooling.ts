import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { note } from './views.ts';

export type RoomCoolingReason =
  | 'falls-fast'
  | 'colder-than-heaters-hold' // reckoned from geometry: possible, no more
  | 'steady'
  | 'too-little-seen' // for a fall, that is
  | 'no-probe'
  | 'probe-silent';

export interface RoomCoolingState {
  readonly falling: Latch;
  readonly short: Latch;
}

const warmRoom: RoomCoolingState = { falling: openLatch, short: openLatch };

export interface RoomInput {
  readonly config: WatchesConfig;
  readonly probes: number;
  /** °C. */
  readonly temperature: number | undefined;
  readonly at: Instant | undefined;
  /** From its best level of the last hours, dips and peaks under half an hour left out, K. */
  readonly fallen: number | undefined;
  /** The tank that first cannot be held, and the room temperature at which that is so, °C. */
  readonly weakest: { readonly tank: string; readonly holdsDownTo: number } | undefined;
}

const HOLD = (10 * MINUTE) as Millis;
/** A fall ends when it is so much less than the one that raises it, K. */
const LESS = 0.5;

/** The air around tanks falls fast, or so low that their heaters will not do. */
export function lookAtRoomCooling(
  before: RoomCoolingState | undefined,
  input: RoomInput,
  now: Instant,
): { state: RoomCoolingState; finding: Finding } {
  const state = before ?? warmRoom;
  const { config, temperature, fallen, weakest } = input;
  if (temperature === undefined) {
    const reason: RoomCoolingReason = input.probes === 0 ? 'no-probe' : 'probe-silent';
    return { state, finding: finding('unknown', reason, []) };
  }
  const { fall_k: limit, within_min } = config.room_cooling;
  const falling =
    fallen === undefined
      ? state.falling
      : latch(
          state.falling,
          { over: fallen >= limit, calm: fallen <= limit - LESS, hold: HOLD, settle: HOLD },
          now,
        );
  const under =
    weakest === undefined ? Number.NEGATIVE_INFINITY : weakest.holdsDownTo - temperature;
  const short = latch(
    state.short,
    { over: under > 0, calm: under <= -LESS, hold: HOLD, settle: HOLD },
    now,
  );
  const next = falling === state.falling && short === state.short ? state : { falling, short };
  const proof: Evidence[] = [];
  note(proof, 'room-temperature', temperature, 'C', input.at);
  note(proof, 'fall', fallen, 'K', input.at);
  note(proof, 'within', fallen === undefined ? undefined : within_min * MINUTE, 'ms');
  note(proof, 'holds-down-to', weakest?.holdsDownTo, 'C');
  if (falling.since !== undefined) {
    return {
      state: next,
      finding: { ...finding('raised', 'falls-fast', proof), confidence: 'likely' },
    };
  }
  if (short.since !== undefined) {
    return { state: next, finding: finding('raised', 'colder-than-heaters-hold', proof) };
  }
  return fallen === undefined
    ? { state: next, finding: finding('unknown', 'too-little-seen', proof) }
    : { state: next, finding: finding('quiet', 'steady', proof) };
}

const finding = (
  verdict: Finding['verdict'],
  reason: RoomCoolingReason,
  proof: readonly Evidence[],
): Finding => possibleWarning(verdict, reason, proof, HOLD);
