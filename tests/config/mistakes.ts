import type { Edit } from './sample.ts';

/** A mistake that a keeper can make in the sample, and what must be said of it. */
export interface Mistake extends Edit {
  readonly code: `AMP_CONFIG_${string}`;
  readonly path: string;
  /** Text in the line at which it must be told. */
  readonly at: string;
  /** In the advice, where it must be there. */
  readonly advice?: string;
}

/** Independent of each other: any of them may stand in one file. */
export const MISTAKES: readonly Mistake[] = [
  {
    swap: 'time_zone: Europe/Helsinki\n',
    by: 'time_zone: Europe/Helsinky\n',
    code: 'AMP_CONFIG_ZONE',
    path: 'site.time_zone',
    at: 'time_zone: ',
    advice: 'Europe/Helsinki',
  },
  {
    swap: 'currency: EUR',
    by: 'currency: EUX',
    code: 'AMP_CONFIG_CURRENCY',
    path: 'site.currency',
    at: 'currency: ',
    advice: 'did you mean',
  },
  {
    swap: 'locale: en-FI',
    by: 'locale: en_FI',
    code: 'AMP_CONFIG_LOCALE',
    path: 'site.locale',
    at: 'locale: ',
  },
  {
    swap: 'silence_limit_s: 120',
    by: 'silence_limit: 120',
    code: 'AMP_CONFIG_UNKNOWN_KEY',
    path: 'broker.silence_limit',
    at: 'silence_limit: 120',
    advice: 'did you mean silence_limit_s?',
  },
  {
    swap: 'group_time_s: 5',
    by: 'group_time_s: 500',
    code: 'AMP_CONFIG_RANGE',
    path: 'store.group_time_s',
    at: 'group_time_s: 500',
  },
  {
    swap: 'porch: {}',
    by: 'porch: { Name: Porch }',
    code: 'AMP_CONFIG_UNKNOWN_KEY',
    path: 'rooms.porch.Name',
    at: 'porch: {',
    advice: 'did you mean name?',
  },
  {
    swap: 'housing: aquarium',
    by: 'housing: aquarum',
    code: 'AMP_CONFIG_CHOICE',
    path: 'tanks.reed-bed.housing',
    at: 'housing: ',
    advice: 'did you mean aquarium?',
  },
  {
    swap: '      min: 22\n',
    by: '',
    code: 'AMP_CONFIG_MISSING',
    path: 'tanks.reed-bed.keep_c.min',
    at: '    keep_c:\n',
    advice: 'add the key min',
  },
  {
    swap: 'dimensions_cm: { length: 60, width: 45, height: 45 }',
    by: 'lid: false',
    code: 'AMP_CONFIG_SIZE_UNKNOWN',
    path: 'tanks.mat-den',
    at: '  mat-den:\n',
  },
  {
    swap: 'keep_c: { min: 20, max: 34 }',
    by: 'keep_c: { min: 34, max: 20 }',
    code: 'AMP_CONFIG_KEPT_RANGE',
    path: 'tanks.mat-den.keep_c',
    at: 'keep_c: { min',
  },
  {
    swap: 'porch-air: { room: porch }',
    by: 'porch-air: { room: perch }',
    code: 'AMP_CONFIG_REFERENCE',
    path: 'probes.porch-air.room',
    at: 'porch-air: {',
    advice: 'did you mean porch?',
  },
  {
    swap: 'socket-1: { limit_w: 2300 }',
    by: 'socket-1: { limit_w: "2300" }',
    code: 'AMP_CONFIG_TYPE',
    path: 'plugs.socket-1.limit_w',
    at: 'socket-1: {',
    advice: 'take the quotes away',
  },
  {
    swap: 'nameplate_w: 200',
    by: 'nameplate_w: 0',
    code: 'AMP_CONFIG_RANGE',
    path: 'devices.reed-heater.nameplate_w',
    at: 'nameplate_w: 0',
  },
  {
    swap: '    plug: lamp-plug\n    tank: reed-bed\n',
    by: '    plug: lamp-plug\n    tank: reed-bet\n',
    code: 'AMP_CONFIG_REFERENCE',
    path: 'devices.lamp.tank',
    at: 'tank: reed-bet\n',
    advice: 'did you mean reed-bed?',
  },
  {
    swap: "{ from: '09:00', to: '19:00' }",
    by: "{ from: '09:00', to: '09:00' }",
    code: 'AMP_CONFIG_HOURS',
    path: 'devices.lamp.schedule[0].to',
    at: "from: '09:00'",
  },
  {
    swap: 'upkeep: 0.2',
    by: 'upkeep: 0.1',
    code: 'AMP_CONFIG_SHARES_SUM',
    path: 'devices.blower.shares',
    at: '    shares:\n',
  },
  {
    swap: '  blower:\n',
    by: '  Blower:\n',
    code: 'AMP_CONFIG_ID',
    path: 'devices.Blower',
    at: '  Blower:\n',
    advice: 'write blower',
  },
  {
    swap: "        plug: 'socket-{n}'\n        at: /draw",
    by: "        plug: 'socket-{m}'\n        at: /draw",
    code: 'AMP_CONFIG_LEVEL',
    path: 'feeds.sockets.values[1].plug',
    at: "'socket-{m}'",
  },
  {
    swap: 'measure: temperature',
    by: 'measure: temprature',
    code: 'AMP_CONFIG_CHOICE',
    path: 'feeds.probes.values[0].measure',
    at: 'measure: temprature',
    advice: 'did you mean temperature?',
  },
  {
    swap: 'sentinels: [85, -127]',
    by: 'sentinels: [85, off]',
    code: 'AMP_CONFIG_TYPE',
    path: 'feeds.probes.values[0].sentinels[1]',
    at: 'sentinels: ',
  },
  {
    swap: "valid_from: '2023-01-01'",
    by: "valid_from: '2023-02-30'",
    code: 'AMP_CONFIG_DATE',
    path: 'tariffs.early.valid_from',
    at: "'2023-02-30'",
  },
  {
    swap: "{ rate: day, days: weekdays, from: '07:00', to: '22:00' }",
    by: "{ rate: day, days: weekdays, from: '08:00', to: '22:00' }",
    code: 'AMP_CONFIG_TARIFF_HOURS',
    path: 'tariffs.later.energy.periods',
    at: '      periods:\n',
  },
  {
    swap: "{ rate: night, days: weekend, from: '00:00', to: '24:00' }",
    by: "{ rate: nite, days: weekend, from: '00:00', to: '24:00' }",
    code: 'AMP_CONFIG_REFERENCE',
    path: 'tariffs.later.energy.periods[2].rate',
    at: 'rate: nite',
  },
  {
    swap: "url: 'https://bell.example/hook'",
    by: "url: 'bell.example/hook'",
    code: 'AMP_CONFIG_ADDRESS',
    path: 'notify.webhooks.bell.url',
    at: "'bell.example/hook'",
  },
];
