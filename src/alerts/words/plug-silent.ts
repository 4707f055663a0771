import { asSure, sentence, unwatched, type WatchWords, worded } from './told.ts';

export const plugSilent: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Plug silent',
      likely: 'Plug silent',
      possible: 'Plug may be silent',
    }),
  what(told) {
    const { subject } = told;
    const certain = `Nothing is heard from the plug ${subject}; what hangs on it is not watched.`;
    return asSure(told, {
      certain,
      likely: certain,
      possible: `The plug ${subject} is silent for unusually long; this is not certain: it may have nothing new to say.`,
    });
  },
  evidence(told) {
    const silent = worded(told, 'silent-for');
    const usual = worded(told, 'usual-interval');
    const last = worded(told, 'last-power');
    return [
      sentence(
        silent && `No word for ${silent}`,
        usual && `it usually speaks every ${usual}`,
        last && `the last it said was ${last}`,
      ) ?? 'Not heard so far.',
      ...unwatched(told, 'it speaks again'),
    ];
  },
  todo: () => [
    'Look at the equipment on this plug: does it run, is the tank as warm as usual?',
    'Check that the socket has power, and whether an RCD/GFCI has tripped.',
    'Check the plug’s network. Several silent at once: think of a power cut, the Wi-Fi or the broker.',
  ],
  cautions: ['wetSocket', 'tripping', 'residualCurrent', 'electrician'],
  after: () => [
    'See that what hangs on the plug runs again: some equipment does not restart itself.',
  ],
};
