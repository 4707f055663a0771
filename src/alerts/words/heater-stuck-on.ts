import { asSure, sentence, timeLeft, type WatchWords, worded } from './told.ts';

export const heaterStuckOn: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater stuck on',
      likely: 'Heater seems stuck on',
      possible: 'Heater may be stuck on',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} keeps heating although it is warm enough.`,
      likely: `${told.subject} seems to keep heating although it is warm enough.`,
      possible: `${told.subject} may be heating without need; this is not certain.`,
    }),
  evidence(told) {
    const warm = worded(told, 'tank-temperature');
    const off = worded(told, 'switch-off');
    const draw = worded(told, 'power');
    const left = timeLeft(told, 'max');
    if (warm !== undefined && off !== undefined && draw !== undefined) {
      return [
        `${told.medium} is ${warm}; the heater should have switched off at ${off}, yet it draws ${draw}.`,
        left,
      ];
    }
    const set = worded(told, 'set-point');
    return [
      sentence(
        warm && `${told.medium} is ${warm}`,
        set && `the thermostat is set to ${set}`,
        draw && `the heater draws ${draw}`,
      ),
      left,
    ];
  },
  todo: (told) => [
    told.alert.confidence === 'possible'
      ? 'Check the temperature with a second thermometer.'
      : undefined,
    'Pull the heater’s plug at the wall. A stuck contact does not obey a switch or a smart plug.',
    'See that it is off: its lamp is dark, its power reads 0 W.',
    told.dry
      ? 'Let it cool slowly: open the lid or vents.'
      : 'Let the water cool slowly: open the lid, add air. No ice, no cold water all at once.',
    'Do not use this heater again: replace it. Keep an eye on the cold side meanwhile.',
  ],
  cautions: [
    'unplugFirst',
    'wetSocket',
    'levelDrop',
    'hotHeater',
    'residualCurrent',
    'electrician',
  ],
  after: () => [
    'A heater that stuck once can stick again: replace it, even if it works now.',
    'See that the temperature does not fall too low without it.',
  ],
};
