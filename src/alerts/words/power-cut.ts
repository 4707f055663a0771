import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const powerCut: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Power cut',
      likely: 'Power cut, it seems',
      possible: 'There may be a power cut',
    }),
  what: (told) =>
    asSure(told, {
      certain: `The plugs in ${told.subject} fell silent together: the power is off.`,
      likely: `The plugs in ${told.subject} fell silent together, and the network works: the power seems to be off.`,
      possible: `Several plugs fell silent together. The power may be off, or an access point; this is not certain.`,
    }),
  evidence(told) {
    const gone = worded(told, 'plugs-gone');
    const since = worded(told, 'gone-for');
    return [
      sentence(gone && `${gone} of the plugs are gone`, since && `for ${since}`),
      told.alert.reason === 'some-plugs-vanished'
        ? 'Others are still heard: think of one circuit, or of one access point.'
        : undefined,
    ];
  },
  todo: () => [
    'Look whether it is dark: the house, one circuit, or only the Wi-Fi. Has an RCD/GFCI tripped?',
    'Power off: aerate with a battery pump, or move the water by hand every quarter of an hour.',
    'Cover the tanks to keep the warmth in; leave some air. Do not feed.',
    'Open a closed filter that stands for more than an hour; rinse it before it runs again.',
    'No generator or flame indoors: exhaust kills.',
  ],
  cautions: ['wetSocket', 'residualCurrent', 'tripping', 'electrician'],
  after: () => [
    'See that every pump, air pump and heater runs again: some do not start by themselves.',
    'Check timers, and temperatures over the next hours.',
  ],
};
