import { z } from 'zod';
import { wallTime } from '../units/config.ts';

/** Defaults are judgment, no published source. */
export const alertsConfig = z
  .strictObject({
    quiet_hours: z
      .strictObject({
        from: wallTime.describe('Wall time at which they begin.'),
        to: wallTime.describe('Wall time at which they end; it may lie past midnight.'),
      })
      .refine(({ from, to }) => from !== to, 'they must not begin when they end')
      .optional()
      .describe('Hold back all but critical; what was held is told in one message afterward.'),
    repeat_min: z
      .number()
      .min(5)
      .max(1_440)
      .default(15)
      .describe(
        'Critical is told again after so long, until acknowledged, snoozed or closed, min.',
      ),
    gather_s: z
      .number()
      .min(0)
      .max(600)
      .default(30)
      .describe('Notices and warnings wait so long for others of the same event, s.'),
    tending_min: z
      .number()
      .min(1)
      .max(480)
      .default(60)
      .describe('How long a tending lasts unless told, min.'),
  })
  .prefault({})
  .describe('When and how often alerts are told.');

export type AlertsConfig = z.infer<typeof alertsConfig>;
