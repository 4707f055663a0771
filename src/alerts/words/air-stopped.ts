import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const airStopped: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Air pump failing',
      likely: 'Air pump seems to fail',
      possible: 'Air pump may be failing',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} does not run as it did: less air, or none.`,
      likely: `${told.subject} seems not to run as it did: less air, or none.`,
      possible: `${told.subject} may be giving less air, or none; this is not certain.`,
    }),
  evidence(told) {
    const draw = worded(told, 'power');
    const usual = worded(told, 'usual-power');
    const rated = worded(told, 'rated-power');
    const since = worded(told, 'changed-for');
    return [
      sentence(
        draw && `It draws ${draw}`,
        usual && `${usual} is usual`,
        rated && `it is rated ${rated}`,
        since && `so for ${since}`,
      ),
    ];
  },
  todo: () => [
    'Look for bubbles in every tank that it feeds, and how the animals breathe. Oxygen first.',
    'No air: put in a spare pump, or move the surface by hand until you have one.',
    'Check its diaphragm, check valves, air stones, and hoses for kinks.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'residualCurrent', 'dripLoop', 'electrician'],
  after: () => [
    'See that there are bubbles in every tank, and that no water has run back into the hose.',
  ],
};
