import { asSure, sentence, type WatchWords, worded } from './told.ts';

export const heaterChattering: WatchWords = {
  title: (told) =>
    asSure(told, {
      certain: 'Heater switches too often',
      likely: 'Heater seems to switch too often',
      possible: 'Heater may switch too often',
    }),
  what: (told) =>
    asSure(told, {
      certain: `${told.subject} switches on and off again and again.`,
      likely: `${told.subject} seems to rattle: its contact opens and closes again and again, which burns it.`,
      possible: `${told.subject} may have a contact that rattles; this is not certain.`,
    }),
  evidence(told) {
    const every = worded(told, 'switches-every');
    const draw = worded(told, 'power');
    return [
      sentence(every && `It switches about every ${every}`, draw && `it last drew ${draw}`),
      'A contact that burns can weld itself shut: the heater then stays on.',
    ];
  },
  todo: () => [
    'Check plug and socket: a loose or warm plug rattles too. Do not touch it if it is wet or hot: cut the power at the breaker.',
    'Replace the heater soon; keep a spare at hand, and look at the temperature until then.',
    'Is it a controller that pulses on purpose? Then raise heater_chattering for this device.',
  ],
  cautions: [
    'unplugFirst',
    'wetSocket',
    'levelDrop',
    'hotHeater',
    'residualCurrent',
    'tripping',
    'electrician',
  ],
  after: () => ['A contact that rattled once will again: replace it before it sticks.'],
};
