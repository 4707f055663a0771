import { asSure, knownBy, sentence, type WatchWords, worded } from './told.ts';

export const expensiveNight: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Expensive night ahead',
      likely: 'Expensive night ahead',
      possible: 'An expensive night may lie ahead',
    }),
  what(told) {
    const ahead = `Tonight ${told.subject} will cost far more to heat than on its last nights.`;
    return asSure(told, {
      certain: ahead,
      likely: ahead,
      possible: `Tonight ${told.subject} may cost far more to heat than usual; this is not certain.`,
    });
  },
  evidence(told) {
    const times = worded(told, 'cost-of-usual');
    const known = worded(told, 'forecast-coverage');
    const weather = worded(told, 'by-weather');
    const price = worded(told, 'by-price');
    const use = worded(told, 'by-use');
    const off = worded(told, 'usually-off');
    return [
      sentence(
        times && `About ${times} of a usual night (${knownBy(told)})`,
        known && `${known} of the night is known`,
      ),
      sentence(
        weather && `Of the difference, the cold makes ${weather}`,
        price && `the price of power ${price}`,
        use && `what the devices draw ${use}`,
      ),
      sentence(off && `What was reckoned of its last nights was usually off by ${off}`),
    ];
  },
  todo: () => [
    'Close lids, windows and doors; cover the sides that you do not look through.',
    'Never save on warmth, air or flow that the animals need.',
    'What the devices draw is more? Look for a lid left off, a draft, a new heater.',
  ],
  cautions: ['portableHeater', 'electrician'],
  after: () => ['See in the morning what the night did cost.'],
};
