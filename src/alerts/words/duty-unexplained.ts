import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const dutyUnexplained: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heating need changed',
      likely: 'Heating need seems changed',
      possible: 'Heating need may have changed',
    }),
  what(told) {
    const more = told.alert.reason !== 'less-than-expected';
    const how = more ? 'more' : 'less';
    return asSure(told, {
      certain: `${told.subject} takes ${how} heat than what is known of it explains.`,
      likely: `${told.subject} seems to take ${how} heat than what is known of it explains.`,
      possible: `${told.subject} may take ${how} heat than before; this is not certain.`,
    });
  },
  evidence(told) {
    const duty = worded(told, 'duty');
    const span = worded(told, 'duty-span');
    const expected = worded(told, 'expected-duty');
    const low = worded(told, 'expected-from');
    const high = worded(told, 'expected-to');
    return [
      sentence(
        duty && `Its heaters worked for ${duty} of the last ${span ?? 'hours'}`,
        expected && `${expected} would be usual in this room`,
        low && high && `${low} to ${high} could be chance`,
      ),
    ];
  },
  todo: ({ alert }) =>
    alert.reason === 'less-than-expected'
      ? [
          'Look for a new source of heat: sun, a lamp, a pump that runs hot.',
          'Hold the probe against a second thermometer.',
        ]
      : [
          'See whether the lid is off, a cover missing, a window open, or a draft blows on it.',
          'Does water run away and get topped up? Look for a leak.',
          'Hold the probe against a second thermometer.',
        ],
  cautions: ['unplugFirst', 'wetSocket', 'residualCurrent', 'electrician'],
  after: () => [
    'If you changed something on purpose, it is learned as the new usual in some weeks.',
  ],
};
