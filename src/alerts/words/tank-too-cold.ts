import { asSure, drawing, sentence, timeBack, type WatchWords, worded } from './told.ts';

export const tankTooCold: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Tank too cold',
      likely: 'Tank seems too cold',
      possible: 'Tank may be too cold',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} is colder than its animals are kept.`,
      likely: `${told.subject} seems colder than its animals are kept.`,
      possible: `${told.subject} may be colder than its animals are kept; this is not certain.`,
    }),
  evidence(told) {
    const cold = worded(told, 'tank-temperature');
    const least = worded(told, 'kept-min');
    const draw = worded(told, 'heater-power');
    return [
      sentence(
        cold && `${told.medium} is ${cold}`,
        least && `it should stay above ${least}`,
        draw && `its heaters draw ${draw}`,
      ),
      drawing(told),
      timeBack(told, 'With all its heaters on'),
    ];
  },
  todo: (told) => [
    told.alert.confidence === 'possible' ? 'Check with a second thermometer.' : undefined,
    'See that the heater is plugged in and draws power, and that no RCD/GFCI has tripped.',
    told.dry
      ? 'Keep the warmth in: close the lid, cover the sides, leave some air.'
      : 'Keep the warmth in: lid on, sides covered. Leave pump and air running.',
    told.dry
      ? 'Warm up slowly, with a spare heat source if need be, out of the animals’ reach.'
      : 'Warm up slowly, with a spare heater if need be: no hot water all at once.',
    'Look for the cause: an open window, a cold room, a heater that failed, something cold put in.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'hotHeater', 'residualCurrent', 'tripping', 'electrician'],
  after: () => [
    'Look the animals over, and feed little until they move as usual.',
    'Find out what cooled it: the next cold night may do it again.',
  ],
};
