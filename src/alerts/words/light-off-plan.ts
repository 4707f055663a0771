import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const lightOffPlan: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Light off its plan',
      likely: 'Light off its plan',
      possible: 'Light may be off its plan',
    }),
  what(told) {
    const is = told.alert.reason === 'off-against-plan' ? 'dark' : 'lit';
    const against = `${told.subject} is ${is} against its schedule.`;
    return asSure(told, {
      certain: against,
      likely: against,
      possible: `${told.subject} may be ${is} against its schedule; this is not certain.`,
    });
  },
  evidence(told) {
    const draw = worded(told, 'power');
    const lit = worded(told, 'lit-for');
    const dark = worded(told, 'dark-for');
    return [
      sentence(
        draw && `It draws ${draw}`,
        lit && `lit against its schedule for ${lit}`,
        dark && `dark against its schedule for ${dark}`,
      ),
    ];
  },
  todo: () => [
    'Check the timer: its clock, its program, its switch. Was it set anew after the clocks changed?',
    'If the schedule is another one now, write it into the configuration.',
    'Dark: check lamp, driver and socket, and whether an RCD/GFCI has tripped.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'residualCurrent', 'tripping', 'electrician'],
  after: () => ['See that the timer shows the right time.'],
};
