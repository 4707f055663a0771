import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DAY, HOUR, type Instant, instant, MINUTE } from '../../../src/units/index.ts';
import { watchesConfig } from '../../../src/watches/config.ts';
import { lookAtCostAhead, type MonthCost } from '../../../src/watches/cost-ahead.ts';
import {
  causesOf,
  type ExpensiveNightState,
  lookAtExpensiveNight,
  type NightCost,
  type Tonight,
} from '../../../src/watches/expensive-night.ts';
import {
  type CostsSeen,
  createSights,
  lookAround,
  planWatches,
} from '../../../src/watches/index.ts';
import { runs } from '../../units/runs.ts';
import { noise } from './script.ts';

const EVENING = instant(Date.UTC(2026, 0, 15, 0));
const config = watchesConfig.parse({ cost_ahead: { budget_per_month: 60 } });

/** A usual night: 1.2 kWh over 60 K·h at 0.25. */
const night = (changes: Partial<NightCost> = {}): NightCost => ({
  cost: 0.3,
  energyKwh: 1.2,
  degreeHours: 60,
  coverage: 1,
  basis: 'flat, two heaters',
  ...changes,
});
const usual = Array.from({ length: 14 }, () => night());

/** As learned, and over in the morning. */
const ahead = (changes: Partial<Tonight> = {}): Tonight => ({
  ...night(),
  until: instant(EVENING + 10 * HOUR),
  learnedDays: 20,
  offBy: undefined,
  ...changes,
});

const look = (
  tonight: Tonight | undefined,
  nights: readonly NightCost[] = usual,
  before?: ExpensiveNightState,
  now: Instant = EVENING,
) => lookAtExpensiveNight(before, { config, tonight, nights }, now);

const month = (changes: Partial<MonthCost> = {}): MonthCost => ({
  spent: 30,
  projected: 60,
  days: 15,
  coverage: 1,
  ...changes,
});
const projected = (it: MonthCost | undefined, rules = config) =>
  lookAtCostAhead(undefined, { config: rules, month: it }, EVENING).finding;

describe('the night to come', () => {
  it('is twice as dear for the cold: said, with its cause', () => {
    const { finding } = look(ahead({ cost: 0.6, energyKwh: 2.4, degreeHours: 120 }));
    expect(finding).toMatchObject({ verdict: 'raised', reason: 'dearer-by-weather' });
    expect(finding.evidence.find(({ what }) => what === 'cost-of-usual')?.value).toBeCloseTo(2);
    expect(finding.evidence.find(({ what }) => what === 'by-weather')?.value).toBeCloseTo(1);
    expect(finding.evidence.find(({ what }) => what === 'by-price')?.value).toBeCloseTo(0);
  });

  it('is twice as dear for the price of power', () => {
    expect(look(ahead({ cost: 0.6 })).finding.reason).toBe('dearer-by-price');
  });

  it('is twice as dear for what the devices draw', () => {
    expect(look(ahead({ cost: 0.6, energyKwh: 2.4 })).finding.reason).toBe('dearer-by-use');
  });

  it('is as any other, or a third dearer: quiet', () => {
    expect(look(ahead()).finding.verdict).toBe('quiet');
    expect(look(ahead({ cost: 0.4, energyKwh: 1.6, degreeHours: 80 })).finding.verdict).toBe(
      'quiet',
    );
  });

  it('is three times as dear and still costs next to nothing: quiet', () => {
    const cents = usual.map((it) => ({ ...it, cost: 0.05 }));
    expect(look(ahead({ cost: 0.15 }), cents).finding.verdict).toBe('quiet');
  });

  it('is known to four fifths only: nothing is said', () => {
    expect(look(ahead({ cost: 2, coverage: 0.8 })).finding).toMatchObject({
      verdict: 'unknown',
      reason: 'coverage-low',
    });
  });

  it('has another tariff or another heater than the last ones: nothing is said for a week', () => {
    const changed = { cost: 2, basis: 'by the hour, two heaters' };
    expect(look(ahead(changed)).finding).toMatchObject({
      verdict: 'unknown',
      reason: 'too-few-nights',
    });
    const week = [
      ...usual.slice(7),
      ...Array.from({ length: 7 }, () => night({ ...changed, cost: 0.4 })),
    ];
    expect(look(ahead(changed), week).finding.verdict).toBe('raised');
  });

  it('is not forecast: nothing is said', () => {
    expect(look(undefined).finding).toMatchObject({ verdict: 'unknown', reason: 'no-forecast' });
  });

  it('wavers at the limit for a day: raised once and over once, through restarts', () => {
    const random = noise(4);
    let state: ExpensiveNightState | undefined;
    let turns = 0;
    let last = 'quiet';
    for (let minute = 0; minute < DAY / MINUTE + 60; minute += 1) {
      const cost = minute < 30 ? 0.6 : minute < DAY / MINUTE ? 0.5 + 0.01 * random() : 0.3;
      const now = instant(EVENING + minute * MINUTE);
      const looked = look(ahead({ cost, until: instant(EVENING + 2 * DAY) }), usual, state, now);
      state = JSON.parse(JSON.stringify(looked.state));
      if (looked.finding.verdict !== last) turns += 1;
      last = looked.finding.verdict;
    }
    expect([turns, last]).toEqual([2, 'quiet']);
  });

  it('has no price for a part of it yet: nothing is said', () => {
    expect(look(ahead({ cost: undefined })).finding).toMatchObject({
      verdict: 'unknown',
      reason: 'no-price',
    });
  });

  it('is only possible where it is reckoned from the tank’s size, or was often far off', () => {
    const confidence = (changes: Partial<Tonight>) =>
      look(ahead({ cost: 0.6, ...changes })).finding.confidence;
    expect(confidence({})).toBe('likely');
    expect(confidence({ offBy: 0.12 })).toBe('likely');
    expect(confidence({ offBy: 0.31 })).toBe('possible');
    expect(confidence({ learnedDays: undefined })).toBe('possible');
    // Then even the low end of its band has to be dear.
    expect(look(ahead({ cost: 0.9, costLow: 0.4, offBy: 0.31 })).finding.verdict).toBe('quiet');
    expect(look(ahead({ cost: 0.9, costLow: 0.4 })).finding.verdict).toBe('raised');
    const { finding } = look(ahead({ cost: 0.9, costLow: 0.6, offBy: 0.31 }));
    expect(finding.verdict).toBe('raised');
    expect(finding.evidence.find(({ what }) => what === 'usually-off')?.value).toBe(0.31);
  });

  it('was dear, and is over in the morning: quiet for long enough to close, then unknown', () => {
    const told = new Map<number, string>();
    let state: ExpensiveNightState | undefined;
    // From five in the afternoon on; 20 hours, in which the daemon starts anew all the time.
    for (let hour = 0; hour < 20; hour += 1 / 12) {
      const now = instant(EVENING + hour * HOUR);
      const tonight = hour < 10 ? ahead({ cost: 0.6 }) : undefined;
      const looked = look(tonight, usual, state, now);
      state = JSON.parse(JSON.stringify(looked.state));
      told.set(Math.round(hour * 12), `${looked.finding.verdict} ${looked.finding.reason}`);
    }
    const turns = [...told].filter(([step, what]) => told.get(step - 1) !== what);
    expect(turns).toEqual([
      [0, 'raised dearer-by-price'],
      [120, 'quiet night-over'],
      [192, 'unknown no-forecast'],
    ]);
  });

  it('turns dear after eleven at night: nobody is woken for it', () => {
    const at = (hour: number) =>
      look(ahead({ cost: 0.6 }), usual, undefined, instant(EVENING + hour * HOUR));
    expect(at(1.9).finding.verdict).toBe('raised');
    expect(at(2.1).finding.verdict).toBe('quiet');
  });

  it('was dear while nobody looked in the morning: the next one is judged for itself', () => {
    const { state: dear } = look(ahead({ cost: 0.6 }));
    const { state } = look(ahead({ cost: 0.6 }), usual, dear, instant(EVENING + 20 * MINUTE));
    const evening = instant(EVENING + DAY);
    const next = ahead({ until: instant(EVENING + DAY + 10 * HOUR) });
    expect(look(next, usual, state, evening).finding.verdict).toBe('quiet');
    // And of nights at the same edge, one is not dear because the one before was.
    const edge = { ...next, cost: 0.48 };
    expect(look(edge, usual, state, evening).finding.verdict).toBe('quiet');
    expect(look(edge, usual, state, instant(EVENING + HOUR)).finding.verdict).toBe('raised');
  });

  it('is dearer by its three causes together, whatever they and the nights before are', () => {
    const amount = fc.double({ min: 0.01, max: 50, noNaN: true });
    const some = fc.record({ cost: amount, energyKwh: amount, degreeHours: amount });
    fc.assert(
      fc.property(some, fc.array(some, { minLength: 7, maxLength: 14 }), (tonight, nights) => {
        const causes = causesOf(night(tonight), nights.map(night));
        const sum = (causes?.weather ?? 0) + (causes?.price ?? 0) + (causes?.use ?? 0);
        const costs = nights.map(({ cost }) => cost).sort((a, b) => a - b);
        const middle = costs.length / 2;
        const usualCost =
          ((costs[Math.ceil(middle) - 1] ?? 0) + (costs[Math.floor(middle)] ?? 0)) / 2;
        const size = Math.abs(causes?.weather ?? 0) + Math.abs(causes?.use ?? 0) + 1;
        expect(Math.abs(sum - (tonight.cost - usualCost)) / size).toBeLessThan(1e-9);
      }),
      runs(200),
    );
  });
});

describe('the month', () => {
  it('comes to a fifth over its budget: said', () => {
    expect(projected(month({ projected: 72 }))).toMatchObject({
      verdict: 'raised',
      reason: 'projected-over-budget',
      severity: 'notice',
    });
  });

  it('comes to five percent over: quiet', () => {
    expect(projected(month({ projected: 63 })).verdict).toBe('quiet');
  });

  it('is three days old, and its projection wild: nothing is said', () => {
    expect(projected(month({ spent: 12, projected: 120, days: 3 }))).toMatchObject({
      verdict: 'unknown',
      reason: 'month-too-young',
    });
  });

  it('has spent its budget by the third day: certain', () => {
    expect(projected(month({ spent: 61, projected: 600, days: 3 }))).toMatchObject({
      verdict: 'raised',
      reason: 'over-budget',
      confidence: 'certain',
    });
  });

  it('is known to half only: nothing is said', () => {
    expect(projected(month({ projected: 90, coverage: 0.5 })).reason).toBe('coverage-low');
  });

  it('has no budget, or no projection: nothing is known', () => {
    expect(projected(month(), watchesConfig.parse({})).reason).toBe('no-budget');
    expect(projected(undefined).reason).toBe('no-projection');
  });

  it('is over when a new one begins', () => {
    const before = lookAtCostAhead(
      undefined,
      { config, month: month({ spent: 70, projected: 75, days: 28 }) },
      EVENING,
    );
    const after = lookAtCostAhead(
      before.state,
      { config, month: month({ spent: 1, projected: 90, days: 1 }) },
      instant(EVENING + 5 * DAY),
    );
    expect(after.finding.verdict).toBe('quiet');
    expect(JSON.stringify(after.state)).not.toContain('calmSince":1');
  });

  it('is over from its first day on, long enough for an alert to close', () => {
    let { state } = lookAtCostAhead(
      undefined,
      { config, month: month({ spent: 70, projected: 75, days: 28 }) },
      EVENING,
    );
    const verdicts = Array.from({ length: 48 }, (_, hour) => {
      const looked = lookAtCostAhead(
        state,
        { config, month: hour < 24 ? undefined : month({ spent: 1, projected: 90, days: 1 }) },
        instant(EVENING + 5 * DAY + hour * HOUR),
      );
      state = looked.state;
      return looked.finding.verdict;
    });
    expect(verdicts.slice(0, 6)).toEqual(new Array(6).fill('quiet'));
    expect(new Set(verdicts.slice(6))).toEqual(new Set(['unknown']));
  });

  it('wavers at a tenth over for a day: raised once and over once', () => {
    const random = noise(6);
    let state: Parameters<typeof lookAtCostAhead>[0];
    let turns = 0;
    let last = 'quiet';
    for (let hour = 0; hour < 72; hour += 1) {
      const projected = hour < 6 ? 70 : hour < 48 ? 66 + random() : 55;
      const it = lookAtCostAhead(
        state,
        { config, month: month({ projected }) },
        instant(EVENING + hour * HOUR),
      );
      state = JSON.parse(JSON.stringify(it.state));
      if (it.finding.verdict !== last) turns += 1;
      last = it.finding.verdict;
    }
    expect([turns, last]).toEqual([2, 'quiet']);
  });
});

describe('a round of looks', () => {
  const plan = planWatches({
    rooms: { loft: {} },
    tanks: {
      fern: {
        room: 'loft',
        housing: 'aquarium',
        walls: 'glass',
        lid: true,
        keep_c: { min: 24, max: 27 },
      },
    },
    probes: {},
    plugs: {},
    devices: {},
    watches: config,
  });
  const round = (costs?: CostsSeen) =>
    new Map(
      lookAround(plan, createSights(plan), new Map(), {
        now: EVENING,
        connectedSince: EVENING,
        costs,
      }).map(({ key, finding }) => [key, finding]),
    );

  it('knows nothing of costs where none are handed in', () => {
    expect(round().get('expensive-night:fern')?.reason).toBe('no-forecast');
    expect(round().get('cost-ahead:loft')?.reason).toBe('no-projection');
  });

  it('judges each tank by its own nights, and the month for the whole site', () => {
    const tonight = ahead({ cost: 0.6 });
    const looks = round({
      nights: new Map([['fern', { tonight, nights: usual }]]),
      month: month({ projected: 90 }),
    });
    expect(looks.get('expensive-night:fern')?.verdict).toBe('raised');
    expect(looks.get('cost-ahead:loft')?.verdict).toBe('raised');
  });
});
