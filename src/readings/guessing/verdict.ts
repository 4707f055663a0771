import type { Confidence, Guess } from './guessed.ts';
import { type NameEvidence, nameEvidence } from './name-evidence.ts';
import type { NamedHint, Unit } from './name-hints.ts';
import type { SeriesShape } from './series-shape.ts';
import type { Observation } from './survey.ts';

/** What is thought of one place: first by itself, then beside its neighbors. */
export interface Verdict {
  readonly is: Guess['is'];
  readonly what?: string | undefined;
  readonly unit: Unit | undefined;
  /** The unit stands in the name, so that nothing else can overrule it. */
  readonly unitNamed?: boolean;
  readonly confidence: Confidence;
  readonly reasons: readonly string[];
  readonly restarts?: Guess['restarts'];
  readonly sentinels?: readonly number[];
  readonly words?: Guess['words'];
}

const COMING_AND_GOING: readonly (readonly [string, readonly string[]])[] = [
  ['online', ['offline']],
  ['connected', ['disconnected', 'lost']],
  ['available', ['unavailable']],
  ['present', ['absent']],
  ['alive', ['dead']],
  ['here', ['gone', 'away']],
  ['up', ['down']],
];

export function byWords({ words }: Observation): Verdict {
  for (const [on, off] of COMING_AND_GOING) {
    if (words.length === 0 || !words.every((word) => word === on || off.includes(word))) continue;
    const gone = off.filter((word) => words.includes(word));
    return {
      is: 'presence',
      unit: undefined,
      confidence: words.length > 1 ? 'sure' : 'likely',
      reasons: [`says '${words.join("' and '")}'`],
      words: { on: [on], off: gone.length > 0 ? gone : off },
    };
  }
  return unclear('only words');
}

export function byNumbers(seen: Observation, shape: SeriesShape): Verdict {
  const names = nameEvidence(seen.topic, seen.at);
  const clock = names.weak ? asClock(shape) : undefined;
  if (clock !== undefined) return clock;
  const other = names.hints.find((hint) => hint.is === 'not-billed' && !hint.weak);
  if (other !== undefined) return notBilled(other);
  const voltage = plainest(names, 'voltage');
  if (voltage !== undefined) return asVoltage(voltage, names, shape);
  const temperature = plainest(names, 'temperature');
  if (temperature !== undefined) return warm(temperature, names, shape);
  const humidity = plainest(names, 'humidity');
  if (humidity !== undefined) return moist(humidity, names, shape);
  const power = plainest(names, 'power');
  const counter = plainest(names, 'counter');
  if (counter !== undefined && (power === undefined || countsUp(shape) || counter.unit)) {
    return asCounter(counter, names, shape);
  }
  if (power !== undefined) return asPower(power, names, shape);
  const weak = names.hints[0];
  return weak === undefined ? nameless(shape) : notBilled(weak);
}

/** Of several words for one quantity the one that names a unit as well. */
const plainest = ({ hints }: NameEvidence, is: NamedHint['is']): NamedHint | undefined => {
  const named = hints.filter((hint) => hint.is === is);
  return named.find(({ unit }) => unit !== undefined) ?? named[0];
};

const notBilled = ({ what, word, weak }: NamedHint): Verdict => ({
  is: 'not-billed',
  what,
  unit: undefined,
  confidence: weak ? 'maybe' : 'sure',
  reasons: [`named '${word}'`],
});

const range = ({ min, max }: SeriesShape): string =>
  min === max ? `always ${min}` : `between ${min} and ${max}`;

/** Certain only when the name is plain; a word with several meanings is worth less. */
const trust = (names: NameEvidence, best: Confidence): Confidence => (names.weak ? 'maybe' : best);

const unclear = (...reasons: string[]): Verdict => ({
  is: 'unclear',
  unit: undefined,
  confidence: 'maybe',
  reasons,
});

/** Celsius in a fish room ends about here; what is warmer is in Fahrenheit. */
const WARMEST_CELSIUS = 45;
const DEFECT = [85, -127];

function warm(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Verdict {
  const sentinels = DEFECT.filter((value) => shape.values.has(value) && shape.values.size > 1);
  const sound = [...shape.values].filter((value) => !sentinels.includes(value));
  const min = Math.min(...sound);
  const max = Math.max(...sound);
  const reasons = [
    `named '${hint.word}'`,
    min === max ? `always ${min}` : `between ${min} and ${max}`,
  ];
  if (sentinels.length > 0) reasons.push(`${sentinels.join(' and ')} mean a broken sensor`);
  const named = { is: 'temperature', sentinels, reasons } as const;
  if (hint.unit !== undefined) {
    return { ...named, unit: hint.unit, confidence: trust(names, 'sure') };
  }
  if (min >= -40 && max <= WARMEST_CELSIUS) {
    const confidence = names.weak && isMild(shape) ? 'likely' : trust(names, 'sure');
    return { ...named, unit: 'C', confidence };
  }
  if (min >= WARMEST_CELSIUS && max <= 115) {
    const note = `too warm for °C where animals live`;
    return { ...named, reasons: [...reasons, note], unit: 'F', confidence: trust(names, 'likely') };
  }
  return unclear(...reasons, 'no temperature of a room or a tank in °C or °F');
}

/** Mains of 100 to 240 V, ten percent low or high at worst (IEC 60038). */
const MAINS = { min: 85, max: 265 };

/** Batteries and power supplies have a voltage as well: only that of the mains is of use. */
function asVoltage(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Verdict {
  const volts = hint.unit === 'mV' ? 1 / 1000 : 1;
  if (shape.min * volts < MAINS.min || shape.max * volts > MAINS.max) {
    return notBilled({ ...hint, what: 'a voltage, not of the mains' });
  }
  return {
    is: 'voltage',
    unit: hint.unit,
    unitNamed: true,
    confidence: names.weak ? 'likely' : 'sure',
    reasons: [`named '${hint.word}'`, range(shape)],
  };
}

function moist(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Verdict {
  const reasons = [`named '${hint.word}'`, range(shape)];
  if (shape.min < 0 || shape.max > 100) return unclear(...reasons, 'no humidity');
  const fraction = shape.max <= 1 && shape.max > 0;
  return {
    is: 'humidity',
    unit: fraction ? 'fraction' : '%',
    confidence: trust(names, fraction ? 'likely' : 'sure'),
    reasons,
  };
}

const countsUp = ({ falls, rises, restarts }: SeriesShape): boolean =>
  rises > 0 && falls === restarts.length;

function asPower(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Verdict {
  const reasons = [`named '${hint.word}'`, range(shape)];
  if (Math.abs(shape.max) > 1e7) return unclear(...reasons, 'too large for the power of a plug');
  return {
    is: 'power',
    unit: hint.unit ?? 'W',
    unitNamed: hint.unit !== undefined,
    confidence: trust(names, hint.unit === undefined ? 'likely' : 'sure'),
    reasons,
  };
}

function asCounter(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Verdict {
  const reasons = [`named '${hint.word}'`];
  const steady = shape.falls === 0;
  if (shape.min < 0) return unclear(...reasons, 'a counter is never negative');
  if (!steady && shape.falls > shape.restarts.length) {
    return unclear(...reasons, `fell ${shape.falls} times in ${shape.count}`);
  }
  const midnight = names.daily || shape.restartsAtMidnight;
  if (shape.restartsAtMidnight) reasons.push('fell to nothing at midnight');
  else if (names.daily) reasons.push('named after the day: starts again each midnight');
  else if (!steady) reasons.push('fell to nothing: starts again now and then');
  if (steady && shape.rises > 0) reasons.push('never fell, rose with time');
  if (shape.rises + shape.falls === 0) reasons.push('did not move');
  return {
    is: 'counter',
    unit: hint.unit ?? likelyCounterUnit(shape),
    confidence: counterConfidence(hint, names, shape),
    restarts: midnight ? 'at-midnight' : 'never',
    reasons,
  };
}

/** A word such as 'total' is worth more beside a number that counts up in fractions. */
function counterConfidence(hint: NamedHint, names: NameEvidence, shape: SeriesShape): Confidence {
  if (names.weak) return countsUp(shape) && !shape.whole ? 'likely' : 'maybe';
  return countsUp(shape) && hint.unit !== undefined ? 'sure' : 'likely';
}

/** Plugs that count whole numbers count Wh; those with decimals kWh. */
const likelyCounterUnit = ({ whole, max }: SeriesShape): Unit => (whole && max > 0 ? 'Wh' : 'kWh');

function nameless(shape: SeriesShape): Verdict {
  const reasons = ['no name says what it is', range(shape)];
  if (shape.falls === 0 && shape.rises >= 2) {
    return {
      is: 'counter',
      unit: likelyCounterUnit(shape),
      confidence: 'maybe',
      reasons: [...reasons, 'never fell, rose with time'],
    };
  }
  return isMild(shape) && shape.rises > 0 && shape.falls > 0
    ? {
        is: 'temperature',
        unit: 'C',
        confidence: 'maybe',
        reasons: [...reasons, 'moves in small steps'],
      }
    : unclear(...reasons);
}

/** As the temperatures of rooms and tanks go: in fractions, slowly, where animals live. */
const isMild = ({ min, max, largestStep, whole }: SeriesShape): boolean =>
  min >= 5 && max <= 40 && largestStep > 0 && largestStep <= 1 && !whole;

/** Uptime and timestamps rise with the clock, one for one. */
function asClock(shape: SeriesShape): Verdict | undefined {
  const elapsed = shape.last.arrived - shape.first.arrived;
  const rise = shape.last.value - shape.first.value;
  if (elapsed < 3000 || shape.rises < 2 || shape.falls > 0) return undefined;
  const ticks = [1, 1000].some((per) => Math.abs((rise * per) / elapsed - 1) < 0.05);
  return ticks
    ? {
        is: 'not-billed',
        what: 'a clock',
        unit: undefined,
        confidence: 'likely',
        reasons: ['rises with time itself'],
      }
    : undefined;
}
