import { asSure, drawing, sentence, timeBack, type WatchWords, worded } from './told.ts';

export const tankTooWarm: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Tank too warm',
      likely: 'Tank seems too warm',
      possible: 'Tank may be too warm',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} is warmer than its animals are kept.`,
      likely: `${told.subject} seems warmer than its animals are kept.`,
      possible: `${told.subject} may be warmer than its animals are kept; this is not certain.`,
    }),
  evidence(told) {
    const warm = worded(told, 'tank-temperature');
    const most = worded(told, 'kept-max');
    const draw = worded(told, 'heater-power');
    return [
      sentence(
        warm && `${told.medium} is ${warm}`,
        most && `it should stay below ${most}`,
        draw && `its heaters draw ${draw}`,
      ),
      drawing(told),
      timeBack(told, 'With its heaters off'),
    ];
  },
  todo: (told) => [
    told.alert.confidence === 'possible' ? 'Check with a second thermometer.' : undefined,
    'See that the heater is off. If in doubt, pull its plug at the wall.',
    told.dry
      ? 'Let it cool slowly: open the lid or vents, lights off.'
      : 'Add air and move the surface: warm water holds less oxygen.',
    told.dry
      ? undefined
      : 'Cool slowly: lid open, lights off, a fan across the surface. No ice, no cold water all at once.',
    'Look for the cause: heater, lamps, sun, a hot room, a chiller that is off.',
  ],
  cautions: [
    'unplugFirst',
    'wetSocket',
    'levelDrop',
    'hotHeater',
    'residualCurrent',
    'electrician',
  ],
  after: () => [
    'Look the animals over: heat shows late.',
    'Find out what warmed it before you switch the heater on again.',
  ],
};
