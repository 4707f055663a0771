import { DAY, HOUR, type Instant } from '../../src/units/index.ts';
import type { QuietDaemon } from './quiet-daemon.ts';
import type { Trial } from './trial.ts';
import type { Truth } from './truth.ts';

/** How what was learned of the tanks' heat compares with the truth. */
export interface HeatChecked {
  /** By tank at day 14: fitted heat loss over the true one, less 1; undefined where nothing is fitted. */
  readonly errors: readonly {
    readonly tank: string;
    readonly error: number | undefined;
  }[];
  /** Days and tanks with a fit, and those of them on which its 95 % interval held the truth. */
  readonly days: number;
  readonly held: number;
  /** What each night drew over what was forecast in its evening, less 1; nights with trouble left out. */
  readonly nights: readonly number[];
}

const DAY_OF_FIT = 14;
/** Of a night that drew less, a relative error says nothing, mWh. */
const WORTH_SCORING = 50_000;

export function createHeatCheck(start: Instant): {
  minute(now: Instant, seen: { daemon: QuietDaemon; truth: Truth; trials: readonly Trial[] }): void;
  result(): HeatChecked;
} {
  const errors: HeatChecked['errors'][number][] = [];
  let days = 0;
  let held = 0;
  const nights: number[] = [];
  const scored = new Map<string, Instant>();
  const troubled = new Map<string, Instant>();
  /** Some hours after midnight, when the day before is learned. */
  let next = start + 12 * HOUR;

  function score(tank: string, { nights: lane }: QuietDaemon): void {
    for (const { night, forecast } of lane.scores(tank)) {
      if (night.from <= (scored.get(tank) ?? start)) continue;
      scored.set(tank, night.from);
      if ((troubled.get(`tank/${tank}`) ?? 0) > night.from - DAY) continue;
      if (night.energy < WORTH_SCORING) continue;
      nights.push(forecast.energy.value / night.energy - 1);
    }
  }

  return {
    minute(now, { daemon, truth, trials }) {
      for (const { place, mended } of trials) {
        for (const thing of place.touched) troubled.set(thing, mended ?? now);
      }
      if (now < next) return;
      next += DAY;
      const day = Math.floor((now - start) / DAY);
      for (const [tank, { status, lossWPerK, ci95 }] of daemon.lanes.heat.fits) {
        score(tank, daemon);
        if (trials.some(({ fault }) => fault.kind === 'lid-off' && fault.tank === tank)) continue;
        const isFitted = status === 'fitted';
        const truly = truth.lossOf(tank);
        if (day === DAY_OF_FIT) {
          errors.push({
            tank,
            error: isFitted ? lossWPerK / truly - 1 : undefined,
          });
        }
        if (!isFitted) continue;
        days += 1;
        if (ci95[0] <= truly && truly <= ci95[1]) held += 1;
      }
    },
    result: () => ({ errors, days, held, nights }),
  };
}
