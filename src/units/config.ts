import { z } from 'zod';

/** Ids of tanks, plugs, devices …: lowercase words joined by hyphens. */
export const id = z
  .string()
  .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, 'lowercase letters, digits and single hyphens')
  .max(64);

export const displayName = z.string().min(1).max(200).describe('A name for people.');

export const localDate = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/, "a date written 'YYYY-MM-DD'")
  .describe('A local date, YYYY-MM-DD.');

/** '00:00' … '24:00' on the local wall clock. */
export const wallTime = z
  .string()
  .regex(/^(([01]\d|2[0-3]):[0-5]\d|24:00)$/, "a time of day written 'HH:MM', 00:00 to 24:00")
  .describe('A time of day on the local wall clock, HH:MM.');

export const siteConfig = z
  .strictObject({
    id: id.describe('Names this site in topics and series.'),
    name: displayName.optional(),
    time_zone: z.string().describe('IANA time zone, such as America/Winnipeg.'),
    currency: z
      .string()
      .regex(/^[A-Z]{3}$/, 'three capital letters, ISO 4217')
      .describe('ISO 4217 code of the currency of every price in this file.'),
    locale: z
      .string()
      .default('en-US')
      .describe('BCP 47 tag that decides how numbers, money and dates are written.'),
  })
  .describe('The place this daemon watches.');

export type SiteConfig = z.infer<typeof siteConfig>;
