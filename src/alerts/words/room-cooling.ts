import { asSure, sentence, type WatchWords, worded } from './told.ts';

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
    const least = worded(told, 'holds-down-to');
    return [
      sentence(
        now && `The room is ${now}`,
        fall && `it fell by ${fall}${within === undefined ? '' : ` within ${within}`}`,
      ),
      least &&
        `By reckoning, the weakest heaters hold their tank down to a room temperature of ${least}.`,
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
