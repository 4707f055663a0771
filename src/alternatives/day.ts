import { CodedError, DAY, type LocalDate, type MilliwattHours } from '../units/index.ts';

/** What is known of one local day. */
export interface ProofDay {
  readonly date: LocalDate;
  /** What the devices under study drew, whole mWh, in as many hours as the clock gave the day. */
  readonly energy: MilliwattHours;
  /**
   * Mean of the air that they heat against, °C: the room for a tank's heater, outdoors for a room's.
   * The change under study must not move it. Undefined where no probe told.
   */
  readonly meanC: number | undefined;
  /** The part of the day whose energy was measured: not bridged, not reckoned, not missing; 0–1. */
  readonly known: number;
}

/** A day that counts. */
export interface UsedDay {
  /** Days since 1970-01-01, so that neighbors differ by one. */
  readonly number: number;
  readonly energy: number;
  /** Without meaning where no weather is asked for. */
  readonly meanC: number;
}

/** What became of the days of a period. */
export interface PeriodUse {
  readonly from: LocalDate | undefined;
  /** The last day, included. */
  readonly to: LocalDate | undefined;
  readonly used: number;
  /** Left out: too much of it was bridged, reckoned or missing. */
  readonly unmeasured: number;
  /** Left out: measured, but without a temperature. */
  readonly withoutTemperature: number;
  /** Days between the first and the last that were not handed in at all. */
  readonly absent: number;
}

export interface Period {
  readonly days: readonly UsedDay[];
  readonly use: PeriodUse;
}

/**
 * Sorts out the days that count, in their order.
 * @param minKnown less of a day than this, 0–1, and it is left out
 * @param needsWeather whether a day without a temperature is of no use
 * @throws CodedError AMP_ALTERNATIVES_DAY, AMP_ALTERNATIVES_PERIODS
 */
export function periodOf(
  name: 'baseline' | 'reporting',
  given: readonly ProofDay[],
  { minKnown, needsWeather }: { minKnown: number; needsWeather: boolean },
): Period {
  const sorted = given
    .map((day) => ({ ...day, number: checked(name, day) }))
    .sort((a, b) => a.number - b.number);
  const twice = sorted.find((day, at) => day.number === sorted[at - 1]?.number);
  if (twice !== undefined) {
    throw new CodedError('AMP_ALTERNATIVES_PERIODS', `${name}: ${twice.date} stands there twice`, {
      remedy: 'Hand in every day once.',
    });
  }

  const measured = sorted.filter(({ known }) => known >= minKnown);
  const days = measured
    .filter(({ meanC }) => meanC !== undefined || !needsWeather)
    .map(({ number, energy, meanC }) => ({ number, energy, meanC: meanC ?? 0 }));
  const first = sorted[0];
  const last = sorted.at(-1);
  const span = first === undefined || last === undefined ? 0 : last.number - first.number + 1;
  return {
    days,
    use: {
      from: first?.date,
      to: last?.date,
      used: days.length,
      unmeasured: sorted.length - measured.length,
      withoutTemperature: measured.length - days.length,
      absent: span - sorted.length,
    },
  };
}

/** @throws CodedError AMP_ALTERNATIVES_PERIODS unless the reporting period follows the baseline. */
export function checkOrder(baseline: PeriodUse, reporting: PeriodUse): void {
  if (baseline.to === undefined || reporting.from === undefined) return;
  if (baseline.to < reporting.from) return;
  throw new CodedError(
    'AMP_ALTERNATIVES_PERIODS',
    `the reporting period begins on ${reporting.from}, before the baseline has ended on ${baseline.to}`,
    { remedy: 'End the baseline before the change, and begin the reporting period after it.' },
  );
}

/** @returns the day's number */
function checked(name: string, { date, energy, meanC, known }: ProofDay): number {
  const wrong = (what: string) =>
    new CodedError('AMP_ALTERNATIVES_DAY', `${name}, ${date}: ${what}`, {
      remedy: 'Leave the day out, or mend what it was made from.',
    });
  const at = Date.parse(`${date}T00:00Z`);
  if (Number.isNaN(at) || new Date(at).toISOString().slice(0, 10) !== date) {
    throw wrong('is no day of the calendar; write 2026-11-25');
  }
  if (!(Number.isFinite(energy) && energy >= 0)) {
    throw wrong(`energy must be zero or more, got ${energy}`);
  }
  if (meanC !== undefined && !Number.isFinite(meanC)) {
    throw wrong(`its mean temperature must be a number or undefined, got ${meanC}`);
  }
  if (!(known >= 0 && known <= 1)) throw wrong(`its known part must lie in 0–1, got ${known}`);
  return at / DAY;
}
