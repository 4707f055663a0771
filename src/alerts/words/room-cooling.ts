import type { Evidence } from '../../watches/index.ts';
import {
  asSure,
  knownBy,
  reckonedTime,
  sentence,
  type Told,
  type WatchWords,
  worded,
} from './told.ts';

/** Down to which room temperature a tank is held, and when it will not be any more. */
function heldLine(told: Told, held: Evidence): string {
  const { subject } = held;
  const tank = subject === undefined ? 'The weakest tank' : told.write.name(subject);
  const least = told.write.value(held);
  const known = knownBy(told, subject);
  const room = told.read('room-temperature');
  if (room === undefined || room.value >= held.value) {
    return `${tank} is held down to a room of ${least} (${known}).`;
  }
  const left = told
    .readAll('time-to-kept-min')
    .find((evidence) => evidence.subject?.id === subject?.id);
  const holds = `${tank} will not hold: its heaters are enough down to a room of ${least}`;
  if (left === undefined) return `${holds} (${known}).`;
  return left.value <= 0
    ? `${holds} (${known}). It is already below its kept minimum.`
    : `${holds}. It passes its kept minimum in about ${reckonedTime(told, left)}.`;
}

export const roomCooling: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Room getting cold',
      likely: 'Room seems to get cold',
      possible: 'Room may be getting cold',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} is getting cold; heaters may not hold their tanks.`,
      likely: `${told.subject} seems to get cold; heaters may not hold their tanks.`,
      possible: `${told.subject} may be getting cold; this is not certain.`,
    }),
  evidence(told) {
    const now = worded(told, 'room-temperature');
    const fall = worded(told, 'fall');
    const within = worded(told, 'within');
    return [
      sentence(
        now && `The room is ${now}`,
        fall && `it fell by ${fall}${within === undefined ? '' : ` within ${within}`}`,
      ),
      ...told.readAll('holds-down-to').map((held) => heldLine(told, held)),
    ];
  },
  todo: () => [
    'Close windows and doors. Check the room’s heating.',
    'Put lids on and cover the tanks’ sides, those with the weakest heaters first.',
    'Look at the tanks’ temperatures again within the hour.',
  ],
  cautions: ['portableHeater', 'wetSocket', 'residualCurrent', 'electrician'],
  after: () => ['Look at the tanks’ temperatures: water follows the room some hours late.'],
};
