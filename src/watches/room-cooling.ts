import { type Instant, MINUTE, type Millis } from '../units/index.ts';
import type { WatchesConfig } from './config.ts';
import { type Evidence, type Finding, possibleWarning } from './finding.ts';
import { type Latch, latch, openLatch } from './latch.ts';
import { type Figure, holdsDownTo, noteReckoned, type TankHeat, timeToLimit } from './tank-heat.ts';
import { note } from './views.ts';

export type RoomCoolingReason =
  | 'falls-fast'
  | 'colder-than-heaters-hold' // reckoned from geometry it is possible, no more
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
  /** Those with heaters. */
  readonly tanks: readonly HeatedTank[];
}

export interface HeatedTank {
  readonly id: string;
  readonly heat: TankHeat;
  /** What all its heaters can give, W. */
  readonly heaterW: number;
}

const HOLD = (10 * MINUTE) as Millis;
/** A fall ends when it is so much less than the one that raises it, K. */
const LESS = 0.5;
/** So many tanks are named. */
const NAMED = 3;

/** A tank, and the room temperature down to which its heaters hold it, °C. */
interface Held extends HeatedTank {
  readonly downTo: Figure;
}

function heldOf(tanks: readonly HeatedTank[]): Held[] {
  return tanks.flatMap((tank) => {
    const downTo = holdsDownTo(tank.heat, tank.heaterW);
    return downTo === undefined ? [] : [{ ...tank, downTo }];
  });
}

/** The tank that first cannot be held when it gets colder. */
const weakestOf = (held: readonly Held[]): Held | undefined =>
  held.reduce<Held | undefined>(
    (weakest, tank) =>
      weakest === undefined || tank.downTo.value > weakest.downTo.value ? tank : weakest,
    undefined,
  );

/** Names the tanks that will not hold, the first to leave its kept range first; else the weakest. */
function noteTanks(proof: Evidence[], held: readonly Held[], roomC: number): void {
  const lost = held
    .filter(({ downTo }) => downTo.value > roomC)
    .map((tank) => ({ ...tank, left: timeToLimit(tank.heat, 'below', tank.heaterW) }))
    .sort(
      (a, b) =>
        (a.left?.value ?? Number.POSITIVE_INFINITY) - (b.left?.value ?? Number.POSITIVE_INFINITY) ||
        b.downTo.value - a.downTo.value,
    );
  if (lost.length === 0) {
    const weakest = weakestOf(held);
    if (weakest !== undefined) noteHeld(proof, weakest);
    return;
  }
  for (const tank of lost.slice(0, NAMED)) {
    noteHeld(proof, tank);
    const subject = { kind: 'tank', id: tank.id } as const;
    noteReckoned(proof, tank.heat, 'time-to-kept-min', tank.left, 'ms', subject);
  }
  if (lost.length > NAMED) note(proof, 'tanks-short', lost.length / held.length, 'fraction');
}

const noteHeld = (proof: Evidence[], { id, heat, downTo }: Held): void =>
  noteReckoned(proof, heat, 'holds-down-to', downTo, 'C', { kind: 'tank', id });

/** The air around tanks falls fast, or so low that their heaters will not do. */
export function lookAtRoomCooling(
  before: RoomCoolingState | undefined,
  input: RoomInput,
  now: Instant,
): { state: RoomCoolingState; finding: Finding } {
  const state = before ?? warmRoom;
  const { config, temperature, fallen } = input;
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
  const held = heldOf(input.tanks);
  const under = (weakestOf(held)?.downTo.value ?? Number.NEGATIVE_INFINITY) - temperature;
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
  noteTanks(proof, held, temperature);
  if (falling.since !== undefined) {
    return {
      state: next,
      finding: { ...finding('raised', 'falls-fast', proof), confidence: 'likely' },
    };
  }
  if (short.since !== undefined) {
    const isLearned = held.some(({ downTo }) => temperature < (downTo.low ?? -Infinity));
    const confidence = isLearned ? 'likely' : 'possible';
    return {
      state: next,
      finding: { ...finding('raised', 'colder-than-heaters-hold', proof), confidence },
    };
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
