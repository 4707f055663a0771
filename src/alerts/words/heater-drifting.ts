import { asSure, sentence, type Told, type WatchWords, worded } from './told.ts';

const stepped = ({ alert }: Told): boolean => alert.reason === 'stepped';

export const heaterDrifting: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Thermostat drifts',
      likely: 'Thermostat seems to drift',
      possible: 'Thermostat may have moved',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} switches at another temperature than two weeks ago.`,
      likely: `${told.subject} seems to switch at another temperature than two weeks ago.`,
      possible: stepped(told)
        ? `${told.subject} switches at another temperature from one day to the next. Was its dial turned, or the probe moved? This is not certain.`
        : `${told.subject} may switch at another temperature than before; this is not certain.`,
    }),
  evidence(told) {
    const moved = told.read('moved');
    const off = worded(told, 'switch-off');
    const set = worded(told, 'set-point');
    const by =
      moved &&
      `${told.write.difference(Math.abs(moved.value))} ${moved.value < 0 ? 'lower' : 'higher'}`;
    return [
      sentence(
        by && `Within two weeks its switch-off moved ${by}`,
        off && `it now switches off at ${off}`,
        set && `it is said to be set to ${set}`,
      ),
    ];
  },
  todo: (told) => [
    stepped(told)
      ? 'If you turned the dial or moved the probe, there is nothing to do.'
      : undefined,
    'Hold the probe against a second thermometer: it may be the probe that drifts.',
    'If it is the heater, replace it: a thermostat that wanders can end up stuck.',
  ],
  cautions: ['unplugFirst', 'levelDrop', 'hotHeater', 'residualCurrent', 'electrician'],
  after: () => ['See that the temperature is where you want it.'],
};
