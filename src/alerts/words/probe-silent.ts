import { sentence, type WatchWords, worded } from './told.ts';

export const probeSilent: WatchWords = {
  title: () => 'Probe silent',
  what: ({ subject, place }) =>
    `Nothing is heard from the probe ${subject}; ${place ?? 'its tank'} has no temperature.`,
  evidence(told) {
    const silent = worded(told, 'silent-for', 'silence');
    const usual = worded(told, 'usual-interval');
    const last = worded(told, 'tank-temperature', 'room-temperature', 'last-temperature');
    return [
      sentence(
        silent && `No word for ${silent}`,
        usual && `it usually speaks every ${usual}`,
        last && `the last it said was ${last}`,
      ),
      'Until it speaks again, too warm and too cold go unseen, and a heater’s fault is a guess.',
    ];
  },
  todo: () => [
    'Look at a second thermometer now, and again within the hour.',
    'Check the probe: battery, cable, network, and that it still hangs where it should.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'dripLoop', 'electrician'],
  after: () => ['Hold its reading against a second thermometer before you trust it again.'],
};
