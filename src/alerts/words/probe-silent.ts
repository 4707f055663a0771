import { asSure, sentence, unwatched, type WatchWords, worded } from './told.ts';

export const probeSilent: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Probe silent',
      likely: 'Probe silent',
      possible: 'Probe may be silent',
    }),
  what(told) {
    const { subject, place = 'its tank' } = told;
    const certain = `Nothing is heard from the probe ${subject}; it tells nothing of ${place}.`;
    return asSure(told, {
      certain,
      likely: certain,
      possible: `The probe ${subject} is silent for unusually long; this is not certain: it may have nothing new to say.`,
    });
  },
  evidence(told) {
    const silent = worded(told, 'silent-for');
    const usual = worded(told, 'usual-interval');
    const last = worded(told, 'last-temperature');
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
    'Look at a second thermometer now, and again within the hour.',
    'Check the probe: battery, cable, network, and that it still hangs where it should.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'dripLoop', 'electrician'],
  after: () => ['Hold its reading against a second thermometer before you trust it again.'],
};
