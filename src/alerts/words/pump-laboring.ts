import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const pumpLaboring: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Pump laboring',
      likely: 'Pump seems to labor',
      possible: 'Pump may be laboring',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} draws another power than it did.`,
      likely: `${told.subject} draws another power than it did: dirty, blocked or worn, perhaps.`,
      possible: `${told.subject} may be laboring; this is not certain.`,
    }),
  evidence(told) {
    const day = worded(told, 'day-power');
    const draw = worded(told, 'power');
    const usual = worded(told, 'usual-power');
    const since = worded(told, 'changed-for');
    return [
      sentence(
        draw && `It draws ${draw}`,
        day && `over the last day ${day}`,
        usual && `in the week before ${usual}`,
        since && `changed for ${since}`,
      ),
    ];
  },
  todo: () => [
    'If you gave it another speed or head, this is why: in a week it counts as usual.',
    'Look at the flow. Unplug the pump, and free the impeller before you power it again.',
    'Clean impeller, shaft, strainer and hoses. A worn impeller or a noisy shaft: replace it.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'residualCurrent', 'dripLoop', 'electrician'],
  after: () => [
    'Look at the flow once more, and note the day: the next cleaning is due as far on.',
  ],
};
