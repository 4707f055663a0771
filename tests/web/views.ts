import {
  DAY,
  HOUR,
  instant,
  later,
  MINUTE,
  type MicroPerKwh,
  type MicroUnits,
  type Millis,
  type MilliwattHours,
  SECOND,
} from '../../src/units/index.ts';
import type {
  AlertView,
  DeviceView,
  Measured,
  RoomView,
  SpanSums,
  Sum,
  TankView,
} from '../../src/web/index.ts';

/** A winter night in an invented heron loft: 03:10 on a Wednesday in Winnipeg. */
export const NIGHT = instant(Date.UTC(2026, 0, 14, 9, 10));

type Known = keyof Sum['byKnown'];

export const kwh = (amount: number): MilliwattHours => Math.round(amount * 1e6) as MilliwattHours;
export const money = (amount: number): MicroUnits => Math.round(amount * 1e6) as MicroUnits;
export const price = (perKwh: number): MicroPerKwh => Math.round(perKwh * 1e6) as MicroPerKwh;

/** A sum known as `parts` say, in kWh, at 20 ct; laid over with what a test is about. */
export function sumOf(parts: Partial<Record<Known, number>>, over: Partial<Sum> = {}): Sum {
  const { counted = 0, integrated = 0, bridged = 0, reckoned = 0 } = parts;
  const energy = kwh(counted + integrated + bridged + reckoned);
  return {
    energy,
    cost: money((energy / 1e6) * 0.2),
    unpriced: kwh(0),
    byKnown: {
      counted: kwh(counted),
      integrated: kwh(integrated),
      bridged: kwh(bridged),
      reckoned: kwh(reckoned),
    },
    divided: kwh(0),
    missing: 0 as Millis,
    coverage: 1,
    ...over,
  };
}

/** Nothing at all is known of the span. */
export const UNKNOWN = sumOf({}, { coverage: 0, missing: (3 * HOUR) as Millis });

export const spans = (month: number, known: Known = 'counted'): SpanSums => ({
  today: sumOf({ [known]: month / 30 }),
  week: sumOf({ [known]: month / 4 }),
  month: sumOf({ [known]: month }),
});

export const always = (sum: Sum): SpanSums => ({ today: sum, week: sum, month: sum });

export const measured = (value: number, age = 20 * SECOND, stale = false): Measured => ({
  value,
  at: later(NIGHT, -age),
  stale,
});

export const tank = (over: Partial<TankView> = {}): TankView => ({
  id: 'reed-pool',
  name: 'Reed pool',
  animals: 'harlequin rasboras',
  room: 'Loft',
  keep: { min: 22, max: 26 },
  hasProbe: true,
  temperature: measured(24.1),
  tending: undefined,
  tonight: undefined,
  isDry: false,
  sums: spans(24),
  ...over,
});

export const device = (over: Partial<DeviceView> = {}): DeviceView => ({
  id: 'reed-heater',
  name: 'Reed heater',
  kind: 'heater',
  serves: [{ tank: 'reed-pool', name: 'Reed pool', part: 1 }],
  plug: 'own',
  power: measured(96),
  sums: spans(20),
  ...over,
});

export function alert(over: Partial<AlertView> & { readonly title?: string } = {}): AlertView {
  const { title = 'Heater stuck on: Reed heater (Reed pool)', ...rest } = over;
  const severity = over.severity ?? 'critical';
  return {
    id: `heater-stuck-on:device/${title.toLowerCase().replace(/[^a-z0-9]+/g, '-')}`,
    state: 'open',
    severity,
    acknowledged: undefined,
    snoozedUntil: undefined,
    text: {
      title,
      what: 'Reed heater keeps heating although it is warm enough.',
      severity,
      over: false,
      since: 'Since Wed, Jan 14, 12:19 a.m. CST (2 h 51 min)',
      evidence: [
        'The water is 26.4 °C; the heater should have switched off at 24.6 °C, yet it draws 96 W.',
        'If this goes on, it passes the kept maximum of 27.0 °C in about 2 h 10 min (reckoned).',
        'The room is 19.5 °C.',
        'It has been drawing power for 5 h 3 min without a break.',
      ],
      todo: [
        'Pull the heater’s plug at the wall. A stuck contact does not obey a switch.',
        'See that it is off: its lamp is dark, its power reads 0 W.',
        'Let the water cool slowly: open the lid, add air.',
      ],
      cautions: [
        'Unplug everything in the tank before hands go into the water; do not trust a switch.',
        'Every circuit near water needs an RCD/GFCI.',
      ],
    },
    ...rest,
  };
}

/** Nothing wrong, everything heard: each test lays its own trouble over it. */
export function room(over: Partial<RoomView> = {}): RoomView {
  return {
    site: { name: 'Heron loft', locale: 'en-CA', currency: 'CAD', zone: 'America/Winnipeg' },
    now: NIGHT,
    broker: { connected: true, since: later(NIGHT, -3 * DAY) },
    lastReading: later(NIGHT, -4 * SECOND),
    filling: undefined,
    repricing: undefined,
    rate: { name: 'Night', perKwh: price(0.0794), provisional: false },
    totals: spans(60),
    standing: money(0),
    provisional: false,
    otherwise: undefined,
    tonight: undefined,
    alerts: [],
    rooms: [
      { id: 'loft', name: 'Loft', temperature: measured(19.5), humidity: measured(44.6) },
      { id: 'porch', name: 'Porch', temperature: undefined, humidity: undefined },
    ],
    tanks: [
      tank(),
      tank({ id: 'moss-bay', name: 'Moss bay', keep: { min: 19.5, max: 25 } }),
      tank({
        id: 'gravel-bay',
        name: 'Gravel bay',
        animals: undefined,
        hasProbe: false,
        temperature: undefined,
      }),
    ],
    tendingMinutes: 60,
    morning: later(NIGHT, 4 * HOUR - 10 * MINUTE),
    upkeep: spans(4),
    devices: [
      device(),
      device({
        id: 'moss-lamp',
        name: 'Moss lamp',
        kind: 'light',
        plug: 'none',
        power: undefined,
        serves: [{ tank: 'moss-bay', name: 'Moss bay', part: 1 }],
        sums: spans(5, 'reckoned'),
      }),
      device({
        id: 'blower',
        name: 'Air blower',
        kind: 'air-pump',
        serves: [
          { tank: 'reed-pool', name: 'Reed pool', part: 0.6 },
          { tank: 'moss-bay', name: 'Moss bay', part: 0.3 },
          { tank: 'gravel-bay', name: 'Gravel bay', part: 0.1 },
        ],
      }),
    ],
    ...over,
  };
}

/** Newly set up: not a tank, not a device, not a word from the broker. */
export const emptyHouse = (): RoomView =>
  room({
    lastReading: undefined,
    rate: undefined,
    totals: always(sumOf({}, { coverage: 0 })),
    rooms: [],
    tanks: [],
    upkeep: always(sumOf({}, { coverage: undefined })),
    devices: [],
  });

/** As full as a keen keeper's cellar on its worst night. */
export function crowdedRoom(): RoomView {
  const numbers = (count: number): number[] => Array.from({ length: count }, (_, index) => index);
  return room({
    alerts: [
      alert(),
      alert({ title: 'Water too cold: Moss bay', severity: 'critical' }),
      alert({ title: 'Water too cold: Bay 7', severity: 'critical' }),
      alert({ title: 'Room cooling: Loft', severity: 'warning' }),
      alert({ title: 'Water too cold: Bay 9', severity: 'critical', state: 'acknowledged' }),
      ...numbers(43).map((index) =>
        alert({
          title: `Plug silent: plug-${index} (${'very '.repeat(Math.max(0, 30 - index))}long bay)`,
          severity: 'notice',
        }),
      ),
    ],
    tanks: numbers(15).map((index) =>
      tank({
        id: `bay-${index}`,
        name: `Bay ${index}`,
        temperature: measured(index === 7 ? 21.2 : index === 9 ? 26.8 : 22 + index / 5),
      }),
    ),
    devices: numbers(43).map((index) =>
      device({
        id: `thing-${index}`,
        name: `Heater of bay ${index}`,
        serves: [{ tank: `bay-${index % 15}`, name: `Bay ${index % 15}`, part: 1 }],
        power: index % 5 === 0 ? measured(0, HOUR, true) : measured(index * 7),
        sums: spans(40 - index / 2, index % 4 === 0 ? 'reckoned' : 'counted'),
      }),
    ),
  });
}

/** The same name wherever the page prints one. */
export function roomNamed(name: string): RoomView {
  const calm = room();
  const told = alert({ title: `Heater stuck on: ${name} (${name})` });
  const texts = { ...told.text, what: `${name} keeps heating.`, evidence: [`${name} is warm.`] };
  return {
    ...calm,
    site: { ...calm.site, name },
    rate: { name, perKwh: price(0.0794), provisional: false },
    alerts: [
      { ...told, id: 'first', text: texts },
      { ...told, id: 'second', severity: 'notice', text: { ...texts, severity: 'notice' } },
    ],
    rooms: [{ ...room().rooms[0], id: 'loft', name, humidity: undefined, temperature: undefined }],
    tanks: [
      tank({ name, animals: name, room: name }),
      tank({ id: 'two', name, animals: name, room: name, hasProbe: false, temperature: undefined }),
    ],
    devices: [
      device({
        name,
        serves: [
          { tank: 'reed-pool', name, part: 0.7 },
          { tank: 'two', name, part: 0.3 },
        ],
      }),
    ],
  };
}

export const HOSTILE_NAMES: Readonly<Record<string, string>> = {
  markup: '<b onclick="alert(1)">bold</b><img src=x onerror=alert(1)>',
  'the end of the title and a script': '</title><script>window.hurt = true</script>',
  'the end of a comment and of a style': '--></style><!-- <svg/onload=alert(1)>',
  quotes: `" ' \` onmouseover="alert(1)" x='`,
  'an entity': '&lt;script&gt; &amp; &#x3c;',
  emoji: 'tank 🐠👨‍👩‍👧 of the family',
  'right-to-left letters': 'אקווריום של רות',
  'a right-to-left override': '\u202Ekcehc ton od\u202C \u202Eabc',
  'an open isolate': 'a\u2067b\u2069\u2069c',
  '200 characters without a blank': 'W'.repeat(200),
  'lines and tabs': 'first\nsecond\r\n\tthird\u2028fourth',
  'what a template might heed': '${7*7} {{7*7}} <%= 7*7 %> {name}',
};
