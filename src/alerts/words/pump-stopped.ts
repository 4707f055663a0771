import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const pumpStopped: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Pump stopped',
      likely: 'Pump seems to have stopped',
      possible: 'Pump may have stopped',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} does not run: no flow, and oxygen falls.`,
      likely: `${told.subject} seems not to run: no flow, and oxygen falls.`,
      possible: `${told.subject} may not be running; this is not certain.`,
    }),
  evidence(told) {
    const draw = worded(told, 'power');
    const usual = worded(told, 'usual-power');
    const still = worded(told, 'stopped-for');
    const pause = worded(told, 'usual-pause');
    return [
      sentence(
        draw && `It draws ${draw}`,
        usual && `${usual} is usual`,
        still && `so for ${still}`,
        pause && `its usual pauses last up to ${pause}`,
      ),
      told.alert.reason === 'not-back-after-power'
        ? 'Its plug has power again; the pump did not start by itself.'
        : undefined,
    ];
  },
  todo: () => [
    'Oxygen first: put in an air stone or move the surface by hand, and look how the animals breathe.',
    'Unplug the pump. Free and clean its impeller, check hoses and valves, then plug it in again.',
    'A closed filter that stood for an hour or more has gone foul: rinse it in tank water before you restart it, and throw that water away.',
    'Feed nothing until it runs.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'residualCurrent', 'tripping', 'dripLoop', 'electrician'],
  after: () => [
    'If nobody worked on it, find out why it stopped: it may stop again.',
    'A filter that stood for hours has lost bacteria: test ammonia and nitrite for some days.',
  ],
};
