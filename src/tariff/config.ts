import { z } from 'zod';
import { displayName, id, localDate, wallTime } from '../units/config.ts';

const price = z
  .number()
  .min(-1000)
  .max(100_000)
  .describe('Currency per kWh, taxes included, to six decimals.');

const flat = z.strictObject({
  kind: z.literal('flat'),
  price_per_kwh: price,
});

const period = z.strictObject({
  rate: id.describe('The rate that holds in these hours.'),
  days: z
    .enum(['every-day', 'weekdays', 'weekend'])
    .default('every-day')
    .describe('weekdays: Monday to Friday.'),
  from: wallTime,
  to: wallTime.describe(
    'When it ends. Before `from`: the late hours from then on and the early hours until then, of each of its days.',
  ),
});

const timeOfUse = z.strictObject({
  kind: z.literal('time-of-use'),
  rates: z
    .record(id, z.strictObject({ name: displayName.optional(), price_per_kwh: price }))
    .describe('The named rates, such as day and night.'),
  periods: z
    .array(period)
    .min(1)
    .describe(
      'Which rate holds when, on quarter-hours. Together they cover each day once, with no hole or overlap.',
    ),
});

export const tariffConfig = z
  .strictObject({
    name: displayName.optional(),
    utility: z.string().max(200).optional().describe('Who sends the bill.'),
    valid_from: localDate.describe('The first local day on which it holds.'),
    energy: z.discriminatedUnion('kind', [flat, timeOfUse]),
  })
  .describe('What the utility charges from a date on, until the next tariff’s date.');

export const tariffsConfig = z.record(id, tariffConfig);

export type TariffConfig = z.infer<typeof tariffConfig>;
