import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const costAhead: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Month over budget',
      likely: 'Month running over its budget',
      possible: 'Month may run over its budget',
    }),
  what: (told) =>
    asSure(told, {
      certain: 'This month has cost more than its budget.',
      likely: 'If it goes on like this, the month costs more than its budget.',
      possible: 'The month may cost more than its budget; this is not certain.',
    }),
  evidence(told) {
    const ahead = worded(told, 'projected-of-budget');
    const spent = worded(told, 'spent-of-budget');
    return [
      sentence(
        ahead && `It comes to ${ahead} of the budget (reckoned)`,
        spent && `so far ${spent} is spent`,
      ),
    ];
  },
  todo: () => [
    'Look at the costs by tank and device: which grew since last month?',
    'Lids, insulation and a warmer room save more than colder animals. Never save on what they need.',
    'Is it the price of power? Then look at when lamps and pumps run.',
  ],
  cautions: ['portableHeater', 'electrician'],
  after: () => ['The month is within its budget again, or a new one has begun.'],
};
