import { type NightForecast, type NightScore, scoreNight } from '../../heat/index.ts';
import { median, type Span } from '../../units/index.ts';
import { ENOUGH_KNOWN, type RoomAir, type TankNight } from './gather.ts';
import type { Night } from './span.ts';

/** What was said of a night in its evening. */
export type EveningForecast = Pick<NightForecast, 'from' | 'to' | 'energy' | 'cost' | 'known'>;

/** A night that is over. */
export interface PastNight extends Span, Omit<TankNight, 'otherW'> {
  /** Another word where the tariff or the heaters are others. */
  readonly basis: string;
  /** The last forecast of its evening, where there was one. */
  readonly forecast: EveningForecast | undefined;
}

/** What is kept of a tank's nights. Plain JSON of a bounded size. */
export interface NightMemory {
  readonly version: 1;
  /** Oldest first. */
  readonly nights: readonly PastNight[];
  /** Usual heat of its other devices by slot of the night, W, and of how many nights it is. */
  readonly otherW: readonly number[];
  readonly otherNights: number;
  readonly tonight: EveningForecast | undefined;
}

/** A room's air in the evening and the night, oldest first; null where no probe spoke. */
export interface AirMemory {
  readonly version: 1;
  readonly nights: readonly { readonly from: number; readonly air: readonly (number | null)[] }[];
}

export interface ScoredNight {
  readonly night: PastNight;
  readonly forecast: EveningForecast;
  readonly score: NightScore;
}

export const noNights: NightMemory = {
  version: 1,
  nights: [],
  otherW: [],
  otherNights: 0,
  tonight: undefined,
};
export const noAir: AirMemory = { version: 1, nights: [] };

const KEPT_NIGHTS = 30;
const KEPT_AIR = 14;
/** The usual is the mean of as many nights, and follows at that pace. */
const USUAL_NIGHTS = 7;
/** With fewer, nothing is said of how far forecasts are off; older ones no longer count. */
const ENOUGH_SCORES = 5;
const LAST_SCORES = 14;
/** Of a night that drew less, mWh, a relative error says nothing. Judgment. */
const WORTH_SCORING = 50_000;

/** Takes in a night that is over, with what was forecast of it. */
export function withNight(
  memory: NightMemory,
  { from, to }: Night,
  { otherW, ...drawn }: TankNight,
  basis: string,
): NightMemory {
  const { tonight } = memory;
  const forecast = tonight?.from === from ? tonight : undefined;
  const past: PastNight = { from, to, ...drawn, basis, forecast };
  const known = { ...memory, nights: [...before(memory.nights, from), past].slice(-KEPT_NIGHTS) };
  const next = forecast === undefined ? known : { ...known, tonight: undefined };
  return otherW === undefined ? next : withOthers(next, otherW);
}

function withOthers(memory: NightMemory, seen: readonly number[]): NightMemory {
  const otherNights = Math.min(USUAL_NIGHTS, memory.otherNights + 1);
  const otherW = seen.map((watts, slot) => {
    const usual = memory.otherW[slot] ?? watts;
    return rounded(usual + (watts - usual) / otherNights);
  });
  return { ...memory, otherW, otherNights };
}

export const withAir = (memory: AirMemory, { from }: Night, air: RoomAir): AirMemory => ({
  version: 1,
  nights: [
    ...before(memory.nights, from),
    { from, air: air.map((celsius) => (celsius === undefined ? null : rounded(celsius))) },
  ].slice(-KEPT_AIR),
});

/** A night may be read twice; and a clock that ran ahead may have left nights to come. */
const before = <T extends { readonly from: number }>(nights: readonly T[], from: number): T[] =>
  nights.filter((night) => night.from < from);

/** No probe and no plug knows more; it is stored every night. */
const rounded = (value: number): number => Math.round(value * 1000) / 1000;

/** The nights that were forecast and are well enough known, oldest first. */
export const scoresOf = ({ nights }: NightMemory): ScoredNight[] =>
  nights.flatMap((night) => {
    const { forecast } = night;
    if (forecast === undefined || night.coverage < ENOUGH_KNOWN) return [];
    return [{ night, forecast, score: scoreNight(forecast, night) }];
  });

/** By how much the last forecasts were off as the median, a fraction; undefined with too few. */
export function offBy(memory: NightMemory): number | undefined {
  const errors = scoresOf(memory)
    .filter(({ night }) => night.energy >= WORTH_SCORING)
    .slice(-LAST_SCORES)
    .flatMap(({ score }) => score.costError ?? score.energyError ?? [])
    .map(Math.abs);
  return errors.length < ENOUGH_SCORES ? undefined : median(errors);
}

/** What cannot be read is begun anew: it is known again within days. */
export function readBack<T extends NightMemory | AirMemory>(
  stored: object | undefined,
  empty: T,
): T {
  const memory = stored as Partial<T> | undefined;
  return memory?.version === 1 && Array.isArray(memory.nights) ? { ...empty, ...memory } : empty;
}
