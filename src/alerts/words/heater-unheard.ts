import { asSure, knownBy, sentence, type WatchWords, worded } from './told.ts';

export const heaterUnheard: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater heats, tank does not warm',
      likely: 'Heater heats, tank seems not to warm',
      possible: 'Heater may not reach the tank',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} draws power, but its warmth does not arrive.`,
      likely: `${told.subject} draws power, but its warmth seems not to arrive: it may not be where it should be.`,
      possible: `${told.subject} draws power and the probe does not answer; it may be the heater or the probe, this is not certain.`,
    }),
  evidence(told) {
    const worth = worded(told, 'heat-worth');
    const moved = told.read('two-hour-change');
    const now = worded(told, 'tank-temperature');
    const room = worded(told, 'room-temperature');
    const draw = worded(told, 'on-power');
    return [
      sentence(
        worth &&
          `Within two hours its heat should have warmed the tank by ${worth} (${knownBy(told)})`,
        moved &&
          `it ${moved.value < 0 ? 'fell' : 'rose'} by ${told.write.difference(Math.abs(moved.value))}`,
      ),
      sentence(
        now && `The probe shows ${now}`,
        room && `the room is ${room}`,
        draw && `when it heats the heater draws ${draw}`,
      ),
    ];
  },
  todo: (told) => [
    told.dry
      ? 'Look at once, without touching it, whether the heater is where it should be and whole.'
      : 'Look at once, without touching it: is the heater under water, whole, and in the current?',
    told.dry
      ? 'If it has fallen or is damaged: pull its plug and let it cool.'
      : 'Out of the water or cracked: pull its plug at the wall and let it cool in the air. If the socket is wet, cut the power at the breaker.',
    told.dry
      ? undefined
      : 'Only once it is cool and whole may it go back, with its plug still pulled.',
    told.dry
      ? 'See that the probe hangs where it should.'
      : 'See that the probe hangs in the water, and that the pump or filter moves it.',
  ],
  cautions: [
    'unplugFirst',
    'wetSocket',
    'levelDrop',
    'hotHeater',
    'residualCurrent',
    'tripping',
    'electrician',
  ],
  after: () => ['See that the temperature follows the heater again.'],
};
