import { z } from 'zod';
import { displayName, id } from '../units/config.ts';
import { Calendar } from '../units/index.ts';

/** An offset such as '+02:00' is a legal zone to the calendar, but knows no daylight saving. */
function isZone(zone: string): boolean {
  try {
    return !/^[+-]/.test(zone) && new Calendar(zone).zone === zone;
  } catch {
    return false;
  }
}

export const plugConfig = z
  .strictObject({
    name: displayName.optional(),
    limit_w: z
      .number()
      .positive()
      .max(100_000)
      .default(3680)
      .describe('The most this plug can carry, W; a counter that rises faster is not believed.'),
    reporting: z
      .enum(['on-change', 'interval'])
      .default('on-change')
      .describe(
        'on-change: a power holds until the next one. interval: the plug samples steadily, and power is drawn as a line between samples.',
      ),
    usual_interval_s: z
      .number()
      .positive()
      .optional()
      .describe('How often it reports at the latest; learned where not told.'),
    max_gap_s: z
      .number()
      .positive()
      .optional()
      .describe(
        'Silence longer than this is a gap. Default: 5 minutes or three usual intervals, whichever is longer.',
      ),
    counter_restarts: z
      .enum(['never', 'at-midnight', 'at-power-on'])
      .default('never')
      .describe('When the counter starts again from zero.'),
    clock_zone: z
      .string()
      .refine(isZone, 'an IANA time zone such as America/Winnipeg')
      .optional()
      .describe(
        'IANA zone of the plug’s own clock, whose midnight restarts its counter; the site’s unless told.',
      ),
    counter_wraps_at_wh: z
      .number()
      .positive()
      .optional()
      .describe('The counter starts again from zero after this many Wh.'),
    bidirectional: z
      .boolean()
      .default(false)
      .describe(
        'Energy also flows back: power below zero and a falling counter are believed. The feed’s counter needs a plausible range where it goes below zero.',
      ),
    registers: z
      .record(
        id,
        z
          .enum(['add', 'subtract'])
          .describe('subtract: for energy that flows back, such as what is fed in.'),
      )
      .refine((registers) => Object.keys(registers).length > 0, 'at least one register')
      .optional()
      .describe(
        'The counters of a meter that has several, as the feeds name them: day and night, three phases, drawn and fed in. Its energy is their sum.',
      ),
    remainder: id
      .optional()
      .describe(
        'Where it feeds several devices: the one of them that gets what the nameplates and schedules of the others leave.',
      ),
  })
  .describe('A metering point: smart plug, strip socket or sub-meter.');

export type PlugConfig = z.infer<typeof plugConfig>;
