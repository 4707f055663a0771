import { asSure, sentence, timeLeft, type WatchWords, worded } from './told.ts';

export const heaterNotHeating: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater not heating',
      likely: 'Heater seems not to heat',
      possible: 'Heater may not be heating',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} draws no power although it is too cool.`,
      likely: `${told.subject} seems to have stopped heating although it is too cool.`,
      possible: `${told.subject} may have stopped heating; this is not certain.`,
    }),
  evidence(told) {
    const cool = worded(told, 'tank-temperature');
    const start = worded(told, 'switch-on');
    const set = start === undefined ? worded(told, 'set-point') : undefined;
    const draw = worded(told, 'power');
    const usual = worded(told, 'on-power');
    return [
      sentence(
        cool && `${told.medium} is ${cool}`,
        start && `the heater should have switched on at ${start}`,
        set && `the thermostat is set to ${set}`,
        draw && `yet it draws ${draw}${usual === undefined ? '' : ` where ${usual} is usual`}`,
      ),
      timeLeft(told, 'min'),
    ];
  },
  todo: (told) => [
    told.alert.confidence === 'possible'
      ? 'Check the temperature with a second thermometer.'
      : undefined,
    'Check plug and socket, the smart plug’s state, and whether the RCD/GFCI has tripped.',
    'Check the dial. If it stays cold, unplug it and put in a spare heater.',
    told.dry
      ? 'Keep the warmth in: close the lid, cover the sides, leave some air.'
      : 'Keep the warmth in: lid on, sides covered. Leave pump and air running.',
    told.dry ? 'Warm up slowly.' : 'Warm up slowly: no hot water all at once.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'hotHeater', 'residualCurrent', 'tripping', 'electrician'],
  after: () => [
    'If nobody changed anything, do not trust this heater: keep a spare at hand.',
    'See that the temperature comes back slowly and stops at its set point.',
  ],
};
