import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const heaterAgainstChiller: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater and chiller fight',
      likely: 'Heater and chiller seem to fight',
      possible: 'Heater and chiller may fight',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} heats what the chiller has cooled, and the other way round.`,
      likely: `${told.subject} seems to heat what the chiller has cooled, and the other way round.`,
      possible: `${told.subject} may be working against the chiller; this is not certain.`,
    }),
  evidence(told) {
    const part = worded(told, 'heated-and-cooled');
    const off = worded(told, 'switch-off');
    const on = worded(told, 'chiller-switch-on');
    return [
      part && `For ${part} of the last day both ran within a quarter of an hour.`,
      sentence(
        off && `The heater switches off at ${off}`,
        on && `the chiller switches on at ${on}`,
      ),
    ];
  },
  todo: () => [
    'Widen the gap: set the chiller higher or the heater lower, a degree or more apart.',
    'See that both feel the same temperature: their sensors may hang far apart.',
    'Is it a planned night cycle? Then raise heater_against_chiller for this tank.',
  ],
  cautions: ['unplugFirst', 'dripLoop', 'residualCurrent', 'electrician'],
  after: () => ['See that the temperature stays in its range with the wider gap.'],
};
