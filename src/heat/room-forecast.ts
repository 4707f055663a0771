/** The air of a room over the slots of a span to come, °C. */
export interface RoomForecast {
  readonly roomC: readonly number[];
  /** Standard error of the span's mean, K: how far such forecasts of earlier nights were off. */
  readonly errorK: number;
  /** Nights that it rests on. */
  readonly nights: number;
}

/** A night of slot means; undefined where no probe spoke. */
export type RoomNight = readonly (number | undefined)[];

/** Weight of a night against the one after it: weather lasts a few days. Judgment, no source. */
const FADE = 0.6;
/** Of a trend from night to night, this much goes on; the rest is chance. Judgment, no source. */
const GOES_ON = 0.3;
/** An evening that is warmer than evenings were stays so for about this long, slots. */
const EVENING_LASTS = 48;
/** Never surer than this, K. */
const LEAST_ERROR = 0.2;
/** Before two forecasts could be tried, K. */
const UNTRIED_ERROR = 1.5;
/** A night with fewer of its slots says too little. */
const ENOUGH_SLOTS = 0.5;

function meanOf(night: RoomNight): number | undefined {
  const values = night.filter((value) => value !== undefined);
  if (values.length < night.length * ENOUGH_SLOTS || values.length === 0) return undefined;
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

interface Shape {
  readonly slots: readonly number[];
  /** Where the last night stood against the one before, K. */
  readonly trend: number;
}

/** The usual night: each slot's mean, recent nights counting more. */
function shapeOf(nights: readonly RoomNight[], length: number): Shape | undefined {
  const means = nights.map(meanOf);
  const usable = nights.filter((_, i) => means[i] !== undefined);
  if (usable.length === 0) return undefined;
  const level = means.filter((mean) => mean !== undefined);
  const slots: number[] = [];
  for (let slot = 0; slot < length; slot += 1) {
    let sum = 0;
    let weight = 0;
    usable.forEach((night, i) => {
      const value = night[slot];
      if (value === undefined) return;
      const w = FADE ** (usable.length - 1 - i);
      sum += w * value;
      weight += w;
    });
    slots.push(weight > 0 ? sum / weight : (level.at(-1) ?? Number.NaN));
  }
  const last = level.at(-1) ?? 0;
  return { slots, trend: level.length > 1 ? last - (level.at(-2) ?? last) : 0 };
}

function predict(nights: readonly RoomNight[], length: number, evening: number | undefined) {
  const shape = shapeOf(nights, length);
  if (shape === undefined) return undefined;
  // The evening that is there already says more than a trend of the nights before.
  const off = evening === undefined ? undefined : evening - (shape.slots[0] ?? evening);
  return shape.slots.map((value, slot) =>
    off === undefined
      ? value + GOES_ON * shape.trend
      : value + off * Math.exp(-slot / EVENING_LASTS),
  );
}

const averageOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

/**
 * Tonight's air from its own recent nights: their usual course, moved to where this evening stands;
 * without that, by the trend from night to night. Its error is found by forecasting the nights
 * before in the same way. Undefined without a single usable night.
 * @param nights the same span of earlier days, oldest first, each of `lead` + `length` slots
 * @param eveningC the air as the nights begin, where that is known already
 * @param lead so many slots lie between that evening and the span that is wanted
 */
export function forecastRoom(
  nights: readonly RoomNight[],
  length: number,
  eveningC?: number,
  lead = 0,
): RoomForecast | undefined {
  const roomC = predict(nights, lead + length, eveningC)?.slice(lead);
  if (roomC === undefined) return undefined;
  const misses: number[] = [];
  for (let place = 1; place < nights.length; place += 1) {
    const night = nights[place] ?? [];
    const real = meanOf(night.slice(lead));
    const known = eveningC === undefined ? undefined : night[0];
    const forecast = predict(nights.slice(0, place), lead + length, known)?.slice(lead);
    if (real !== undefined && forecast !== undefined) misses.push(averageOf(forecast) - real);
  }
  const squares = misses.reduce((sum, miss) => sum + miss * miss, 0);
  // One less, since a few nights tell their own spread too small.
  const off = misses.length > 1 ? Math.sqrt(squares / (misses.length - 1)) : UNTRIED_ERROR;
  return {
    roomC,
    errorK: Math.max(LEAST_ERROR, off),
    nights: nights.filter((night) => meanOf(night) !== undefined).length,
  };
}
