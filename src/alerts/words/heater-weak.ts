import { asSure, sentence, type Told, type WatchWords, worded } from './told.ts';

const grew = ({ alert }: Told): boolean => alert.reason === 'stronger-than-learned';

export const heaterWeak: WatchWords = {
  title: (told) =>
    grew(told)
      ? asSure(told, {
          certain: 'Heater changed',
          likely: 'Heater changed',
          possible: 'Heater may have changed',
        })
      : asSure(told, {
          certain: 'Heater weaker than it was',
          likely: 'Heater seems weaker than it was',
          possible: 'Heater may be weaker than it was',
        }),
  what(told) {
    const { subject } = told;
    if (grew(told)) {
      const changed = `${subject} draws more than it used to. That is learned anew from now on.`;
      return asSure(told, {
        certain: changed,
        likely: changed,
        possible: `${subject} draws more than it used to; why is not certain.`,
      });
    }
    return asSure(told, {
      certain: `${subject} draws less than it used to when it heats.`,
      likely: `${subject} seems to draw less than it used to when it heats: its element may be failing.`,
      possible: `${subject} may be failing: it draws less than it used to. This is not certain.`,
    });
  },
  evidence(told) {
    const now = worded(told, 'on-power');
    const learned = told.read('learned-power');
    const before = learned && told.write.value(learned);
    const since =
      learned?.at === undefined ? '' : `, learned from ${told.write.moment(learned.at)} on`;
    const by = worded(told, 'weaker-by');
    const volts = worded(told, 'voltage');
    const reckonedTo = worded(told, 'reckoned-to-voltage');
    return [
      sentence(
        now && `When it heats it now draws ${now}`,
        before && `it used to be ${before}${since}`,
        by && `that is ${by} ${grew(told) ? 'more' : 'less'}`,
      ),
      volts && reckonedTo
        ? `The mains is at ${volts}; both powers are reckoned to ${reckonedTo}, so that its voltage does not matter.`
        : grew(told)
          ? undefined
          : 'Low mains voltage takes a few percent off every heater; this is more.',
    ];
  },
  todo: (told) =>
    grew(told)
      ? ['If you replaced the heater, all is well.', 'If not, check what else hangs on its plug.']
      : [
          'If you replaced the heater by a smaller one, write its watts into the configuration: it is then learned anew.',
          told.read('voltage')
            ? undefined
            : 'Do other heaters draw less too? Then it is the mains voltage.',
          'Replace the heater before the cold comes. Keep a spare at hand until then.',
        ],
  cautions: ['unplugFirst', 'levelDrop', 'hotHeater', 'residualCurrent', 'electrician'],
  after: (told) => [
    grew(told)
      ? 'What it draws now is taken for its usual from here on.'
      : 'If nothing was replaced, watch it: an element that fails comes and goes.',
  ],
};
