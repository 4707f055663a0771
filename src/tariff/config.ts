import { z } from 'zod';
import { displayName, id, localDate, wallTime } from '../units/config.ts';

/** For the configuration's cross checks, which read no other file of a room. */
export { type TariffProblem, tariffProblems } from './problems/index.ts';

const perKwh = z.number().min(-1000).max(100_000);
const amount = z.number().min(-1_000_000).max(1_000_000);

const pricing = {
  price_per_kwh: perKwh
    .optional()
    .describe('Currency per kWh, to six decimals, before `charges`; under blocks the same in all.'),
  prices_per_kwh: z
    .array(perKwh)
    .min(2)
    .max(20)
    .optional()
    .describe('Instead of price_per_kwh: one for each block, the first block first.'),
};

const monthDay = z.string().regex(/^\d{2}-\d{2}$/, "a day of the year written 'MM-DD'");

const seasons = z
  .record(
    id,
    z.strictObject({
      from: monthDay.describe('Its first day, MM-DD.'),
      to: monthDay.describe('Its last day, MM-DD. Before `from`: it runs over the new year.'),
    }),
  )
  .describe('Together they hold each day of the year once, the 29th of February too.');

const ends = z.array(z.number().positive().max(1_000_000_000)).min(1).max(19);

const blocks = z
  .strictObject({
    ends_kwh: ends
      .optional()
      .describe('How much of the whole house’s energy ends each block but the last, rising.'),
    ends_kwh_by_season: z
      .record(id, ends)
      .optional()
      .describe(
        'Instead of ends_kwh: for each season, equally many. A billing month in two seasons takes from each by its days.',
      ),
    per: z
      .enum(['month', 'day'])
      .default('month')
      .describe(
        'month: of a billing month, or its days’ part of one that is cut. day: times the days of the billing month.',
      ),
    priced_at: z
      .enum(['average', 'marginal'])
      .default('average')
      .describe(
        'How the tanks are priced: by the average of the whole house, or as what comes on top of the rest of it.',
      ),
  })
  .describe('For prices that rise or fall with the energy of a billing month.');

const flat = z.strictObject({
  kind: z.literal('flat'),
  ...pricing,
  seasons: seasons.optional(),
  blocks: blocks.optional(),
});

const DAYS = [
  ...(['monday', 'tuesday', 'wednesday', 'thursday'] as const),
  ...(['friday', 'saturday', 'sunday', 'holiday'] as const),
] as const;

const period = z.strictObject({
  rate: id.describe('The rate that holds in these hours.'),
  season: id.optional().describe('The season in which it holds; without one, all the year.'),
  days: z
    .union([z.enum(['every-day', 'weekdays', 'weekend']), z.array(z.enum(DAYS)).min(1).max(8)], {
      error: `every-day, weekdays, weekend, or a list of ${DAYS.join(', ')}`,
    })
    .default('every-day')
    .describe(
      'weekdays: Monday to Friday. A list names days one by one, and holidays that are like no weekday.',
    ),
  from: wallTime,
  to: wallTime.describe(
    'When it ends. Before `from`: the late hours from then on and the early hours until then, of each of its days.',
  ),
});

const holidays = z
  .strictObject({
    dates: z.array(localDate).max(2000).describe('The public holidays, one by one.'),
    like: z
      .enum(['sunday', 'saturday', 'own'])
      .default('sunday')
      .describe('Whose rates hold on them. own: those of the periods that name holiday.'),
  })
  .describe('Days whose hours are not those of their weekday.');

const timeOfUse = z.strictObject({
  kind: z.literal('time-of-use'),
  clock: z
    .enum(['local', 'standard'])
    .default('local')
    .describe(
      'By which days and hours go. standard: the meter keeps standard time all the year, without daylight saving.',
    ),
  rates: z
    .record(id, z.strictObject({ name: displayName.optional(), ...pricing }))
    .describe('The named rates, such as day and night.'),
  periods: z
    .array(period)
    .min(1)
    .describe(
      'Which rate holds when, on quarter-hours. Together they cover each day once, with no hole or overlap.',
    ),
  seasons: seasons.optional(),
  holidays: holidays.optional(),
  blocks: blocks.optional(),
});

const slotPrices = z.strictObject({
  kind: z.literal('slot-prices'),
  series: id.describe('The series of published prices, by the hour or quarter-hour.'),
  factor: z.number().min(-1000).max(1000).default(1).describe('Times the published price …'),
  adder_per_kwh: perKwh.default(0).describe('… plus this, per kWh, before `charges`.'),
  floor_per_kwh: perKwh.optional().describe('What results is at least this.'),
  cap_per_kwh: perKwh.optional().describe('What results is at most this.'),
});

const charge = z.strictObject({
  name: displayName.describe('As on the bill; unlike those of the other charges.'),
  per_kwh: perKwh.optional().describe('One of four: currency per kWh. Below zero: a credit.'),
  per_month: amount
    .optional()
    .describe('One of four: currency per billing month, or its days’ part of one that is cut.'),
  per_day: amount.optional().describe('One of four: currency per day.'),
  percent: z
    .number()
    .min(-100)
    .max(1000)
    .optional()
    .describe('One of four: percent of other lines.'),
  of: z
    .union([z.enum(['all-above']), z.array(z.string().min(1).max(200)).min(1).max(50)], {
      error: 'all-above, or a list of energy and the names of charges above',
    })
    .optional()
    .describe(
      'Of what a percent is: energy, names of charges above, or (when left out) all-above.',
    ),
});

export const tariffConfig = z
  .strictObject({
    name: displayName.optional(),
    utility: z.string().max(200).optional().describe('Who sends the bill.'),
    valid_from: localDate.describe('The first local day on which it holds.'),
    billing_day: z
      .int()
      .min(1)
      .max(31)
      .default(1)
      .describe('The local day on which a billing month begins; in shorter months their last.'),
    energy: z.discriminatedUnion('kind', [flat, timeOfUse, slotPrices]),
    charges: z
      .array(charge)
      .max(50)
      .default([])
      .describe('What is charged besides the energy, in the order in which the bill has it.'),
    standing_charges: z
      .enum(['apart', 'tanks'])
      .default('apart')
      .describe('Whether charges by month and day stand apart, or the tanks bear them.'),
  })
  .describe('What the utility charges from a date on, until the next tariff’s date.');

export const tariffsConfig = z.record(id, tariffConfig);

/** As the file has it. */
export type TariffInput = z.input<typeof tariffConfig>;
/** With defaults. */
export type TariffConfig = z.infer<typeof tariffConfig>;
