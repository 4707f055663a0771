import { asSure, sentence, unwatched, type WatchWords, worded } from './told.ts';

export const probeFrozen: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Probe frozen',
      likely: 'Probe seems frozen',
      possible: 'Probe may be frozen',
    }),
  what(told) {
    const { subject, place = 'its tank' } = told;
    return asSure(told, {
      certain: `The probe ${subject} always says the same; it tells nothing of ${place}.`,
      likely: `The probe ${subject} always says the same although a heater works; it seems to tell nothing of ${place}.`,
      possible: `The probe ${subject} may be frozen; this is not certain.`,
    });
  },
  evidence(told) {
    const value = worded(told, 'last-temperature');
    const still = worded(told, 'constant-for');
    const longest = worded(told, 'longest-constant');
    const worth = worded(told, 'heat-worth');
    return [
      sentence(
        value && `It has said ${value}${still === undefined ? '' : ` for ${still}`}`,
        longest && `it never stood still for longer than ${longest} before`,
      ),
      worth && `Meanwhile the tank was given heat worth ${worth} (reckoned from its size).`,
      ...unwatched(told, 'it moves again'),
    ];
  },
  todo: () => [
    'Look at a second thermometer now, and again within the hour.',
    'Check the probe: battery, cable, the box that reads it. Restart that, then replace the probe.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'dripLoop', 'electrician'],
  after: () => ['Hold its reading against a second thermometer before you trust it again.'],
};
