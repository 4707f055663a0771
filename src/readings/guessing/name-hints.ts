import type { FeedValue } from '../config.ts';

type Numeric = Exclude<FeedValue, { measure: 'presence' }>;
export type Unit = Numeric['unit'];

/** What a word in a topic or a key says about the number behind it. */
export interface Hint {
  readonly is: Numeric['measure'] | 'not-billed';
  /** For what is not billed: what it is. */
  readonly what?: string;
  readonly unit?: Unit;
  /** A counter of the current day. */
  readonly daily?: boolean;
  /** The word means other things as well. */
  readonly weak?: boolean;
}

/** A hint with the word it came from. */
export interface NamedHint extends Hint {
  readonly word: string;
}

const list = (words: string): string[] => words.split(' ');

/** English first, then words of other European languages, without their accents. */
const VOCABULARY: readonly (readonly [Hint, readonly string[]])[] = [
  [{ is: 'power' }, list('power leistung wirkleistung puissance potencia potenza vermogen effekt')],
  [{ is: 'power' }, list('moc teho vykon teljesitmeny activepower apower')],
  [{ is: 'power', weak: true }, list('p load demand last draw active aktiv')],
  [{ is: 'power', unit: 'W' }, list('w watt watts')],
  [{ is: 'power', unit: 'kW' }, list('kw kilowatt kilowatts')],
  [{ is: 'power', unit: 'mW' }, list('mw milliwatt milliwatts')],
  [
    { is: 'counter' },
    list('energy energie energia energi energija verbrauch consommation consumo'),
  ],
  [{ is: 'counter' }, list('verbruik forbrug zuzycie zahler zaehler compteur contador contatore')],
  [{ is: 'counter', weak: true }, list('total counter consumption consumed import e teller sum')],
  [{ is: 'counter', unit: 'kWh' }, list('kwh kilowatthour kilowatthours')],
  [{ is: 'counter', unit: 'Wh' }, list('wh watthour watthours wattstunden')],
  [{ is: 'counter', unit: 'mWh' }, list('mwh milliwatthours')],
  [{ is: 'counter', unit: 'Ws' }, list('ws joule joules wattsecond wattseconds')],
  [{ is: 'counter', unit: 'Wmin' }, list('wmin wattminute wattminutes')],
  [{ is: 'counter', daily: true }, list('today daily heute aujourdhui hoy oggi vandaag idag dzis')],
  [
    { is: 'voltage', unit: 'V' },
    list('voltage volt volts u spannung tension voltaje tensione spanning napiecie'),
  ],
  [{ is: 'voltage', unit: 'V', weak: true }, list('v')],
  [{ is: 'voltage', unit: 'mV' }, list('mv millivolt millivolts')],
  [{ is: 'temperature' }, list('temperature temp temperatur temperatura temperatuur lampotila')],
  [{ is: 'temperature' }, list('teplota homerseklet watertemp airtemp')],
  [{ is: 'temperature', weak: true }, list('t water wasser eau agua acqua vand woda air luft')],
  [{ is: 'temperature', unit: 'C' }, list('celsius degc tempc centigrade')],
  [{ is: 'temperature', unit: 'F' }, list('fahrenheit degf tempf')],
  [{ is: 'temperature', unit: 'K' }, list('kelvin')],
  [
    { is: 'humidity' },
    list('humidity hum rh feuchte luftfeuchte luftfeuchtigkeit humidite humedad'),
  ],
  [{ is: 'humidity' }, list('umidita vochtigheid luftfugtighed luftfuktighet wilgotnosc kosteus')],
  [{ is: 'humidity', weak: true }, list('h moisture')],
  ...(
    [
      [
        'apparent power, which is never billed',
        'apparent apparentpower va scheinleistung aparente',
      ],
      ['reactive power, which is not billed here', 'reactive reactivepower var blindleistung'],
      ['a power factor', 'factor powerfactor pf cosphi leistungsfaktor'],
      ['a current', 'amps amp ampere amperes ma strom courant corriente corrente stroom prad'],
      ['a frequency', 'frequency freq hz frequenz'],
      ['a signal strength', 'rssi signal lqi snr linkquality dbm wifi'],
      ['a battery', 'battery batt batterie bateria batteria'],
      ['energy of a day gone by', 'yesterday gestern hier ayer ieri gisteren igar wczoraj'],
      ['energy of a longer period', 'week weekly month monthly year yearly monat woche jahr mois'],
      ['energy sent back', 'export exported returned returnedenergy einspeisung sent'],
      ['a clock', 'time timestamp ts uptime epoch seconds unixtime'],
      ['a setting', 'set setpoint target limit threshold calibration offset max min interval'],
      ['a price', 'price cost tariff preis prix'],
      ['the inside of an appliance', 'cpu chip board internal heap ram cputemp'],
      ['a number of the appliance', 'version id channel index count errors code'],
    ] as const
  ).map(([what, words]) => [{ is: 'not-billed' as const, what }, list(words)] as const),
  // 'current power' is the power now; alone it is amperes.
  [{ is: 'not-billed', what: 'a current', weak: true }, list('current a i')],
];

const HINTS = new Map(
  VOCABULARY.flatMap(([hint, words]) => words.map((word) => [word, { ...hint, word }] as const)),
);

/** Beginnings and middles of longer words, for names written together. */
const STEMS = list(
  'apparent reactive factor voltage spannung battery temperatur humid feuchte',
).concat(list('watthour wattmin leistung energ power'));

const STEM_HINTS: Readonly<Record<string, string>> = {
  humid: 'humidity',
  energ: 'energy',
  watthour: 'wh',
  wattmin: 'wmin',
};

/** What the words of one topic level or key say, in the order in which they stand. */
export function hintsIn(name: string): NamedHint[] {
  const words = wordsOf(name);
  const joined = HINTS.get(words.join(''));
  if (joined !== undefined && joined.weak !== true) return [joined];
  return words.flatMap((word, index) => {
    const last = words.length > 1 && index === words.length - 1;
    // A lone letter behind other words is a unit: 'water_c'.
    if (last && word === 'c') return [{ is: 'temperature', unit: 'C', word }] as const;
    if (last && word === 'f') return [{ is: 'temperature', unit: 'F', word }] as const;
    const hint = HINTS.get(word);
    if (hint !== undefined) return [hint];
    const stem = STEMS.find((start) => word.includes(start));
    const stemHint = stem === undefined ? undefined : HINTS.get(STEM_HINTS[stem] ?? stem);
    return stemHint === undefined ? [] : [{ ...stemHint, word }];
  });
}

/** 'waterTemp_1' → water, temp; accents and numbers dropped; 'kWh' stays one word. */
function wordsOf(name: string): string[] {
  return name
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .split(/[^\p{L}]+/u)
    .flatMap((piece) =>
      HINTS.has(piece.toLowerCase()) ? [piece] : piece.split(/(?<=\p{Ll})(?=\p{Lu})/u),
    )
    .filter((piece) => piece !== '')
    .map((piece) => piece.toLowerCase());
}
