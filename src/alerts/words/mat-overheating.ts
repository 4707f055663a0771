import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const matOverheating: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heat mat overheating',
      likely: 'Heat mat seems to overheat',
      possible: 'Heat mat may be overheating',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} heats without a break and its probe stays cold.`,
      likely: `${told.subject} heats without a break and its probe stays cold.`,
      possible: `${told.subject} heats without a break and its probe stays cold. The mat may be too hot; this is not certain.`,
    }),
  evidence(told) {
    const cold = worded(told, 'tank-temperature');
    const set = worded(told, 'set-point');
    const least = worded(told, 'kept-min');
    const draw = worded(told, 'power');
    const since = worded(told, 'drawing-for');
    return [
      sentence(
        cold && `The probe says ${cold}`,
        set && `the thermostat is set to ${set}`,
        least && `it should stay above ${least}`,
        draw && `the mat draws ${draw}`,
        since && `so for ${since}`,
      ),
    ];
  },
  todo: () => [
    'Pull the mat’s plug at the wall. Then check how hot its surface is, with a thermometer before a hand.',
    'Look for animals on or under the warm spot, and for burns.',
    'Put the probe back where it belongs, fixed, between mat and animal.',
    'Never cover a mat, and never run one without a thermostat.',
  ],
  cautions: ['wetSocket', 'residualCurrent', 'electrician'],
  after: () => ['See that the mat switches off again at its set point before you leave it alone.'],
};
