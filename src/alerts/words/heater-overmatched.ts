import type { Evidence } from '../../watches/index.ts';
import { asSure, knownBy, sentence, type Told, timeLeft, type WatchWords, worded } from './told.ts';

function shortLine(told: Told, { value, low, high }: Evidence): string {
  const { power } = told.write;
  const band = low === undefined || high === undefined ? '' : `: ${power(low)} to ${power(high)}`;
  return `To hold its temperature in this room about ${power(value)} are missing (${knownBy(told)}${band}).`;
}

export const heaterOvermatched: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater cannot keep up',
      likely: 'Heater seems unable to keep up',
      possible: 'Heater may not keep up',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} heats without a break, and it still gets colder.`,
      likely: `${told.subject} heats almost without a break, and it seems to get colder all the same.`,
      possible: `${told.subject} may be too weak for this cold; this is not certain.`,
    }),
  evidence(told) {
    const duty = worded(told, 'duty');
    const span = worded(told, 'duty-span');
    const now = worded(told, 'tank-temperature');
    const room = worded(told, 'room-temperature');
    const draw = worded(told, 'power');
    const short = told.read('short-by');
    return [
      sentence(
        duty && span && `It heated for ${duty} of the last ${span}`,
        draw && `it draws ${draw}`,
      ),
      sentence(now && `${told.medium} is ${now}`, room && `the room is ${room}`),
      short && shortLine(told, short),
      timeLeft(told, 'min'),
    ];
  },
  todo: (told) => [
    'Close windows and doors; look for a draft, and check the room’s heating.',
    told.dry
      ? 'Keep the warmth in: close the lid, cover the sides, leave some air.'
      : 'Keep the warmth in: lid on, cover the sides and back. Leave pump and air running.',
    told.dry
      ? 'If it goes on, add a second heat source of the right kind, out of the animals’ reach.'
      : 'If it goes on, add a second heater with a thermostat of its own, on a socket of its own.',
    'See that the heater is whole and draws what is written on it.',
  ],
  cautions: [
    'unplugFirst',
    'wetSocket',
    'hotHeater',
    'residualCurrent',
    'portableHeater',
    'electrician',
  ],
  after: () => ['Before the next cold spell: insulate, cover, or put in a stronger heater.'],
};
