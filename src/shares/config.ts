import { z } from 'zod';
import { id, localDate } from '../units/config.ts';

export const UPKEEP = 'upkeep';

export const sharesConfig = z
  .record(id, z.number().min(0).max(1))
  .describe(
    "Tank → fraction of this device's energy. Sums to 1; 'upkeep' takes what belongs to no tank.",
  );

const among = z.array(id).min(1);

export const dividedConfig = z
  .discriminatedUnion('by', [
    z.strictObject({
      by: z.literal('equal'),
      among: among.describe("The tanks that get equal parts; 'upkeep' may be one of them."),
    }),
    z.strictObject({
      by: z.literal('volume'),
      among: among.describe('The tanks that get parts by the water they hold.'),
    }),
    z.strictObject({
      by: z.literal('outlets'),
      outlets: z
        .record(id, z.number().int().min(1).max(1_000))
        .describe(
          "Tank → how many outlets it has, as of central air, and it gets parts by them; 'upkeep' may have some.",
        ),
    }),
    z.strictObject({
      by: z.literal('heat-need'),
      among: among.describe(
        'The tanks in the warmth of what heats the room: each gets what its water would lose without it, as far as there is so much; the rest is upkeep.',
      ),
      room_without_c: z
        .number()
        .min(-50)
        .max(60)
        .describe('How warm the room would be without this heater, °C.'),
    }),
  ])
  .describe('Divided among several tanks by a rule.');

/** Whose a device is: exactly one of the three. */
export const belonging = {
  tank: id
    .optional()
    .describe("The tank it serves, or 'upkeep'; give exactly one of tank, shares and divided."),
  shares: sharesConfig.optional(),
  divided: dividedConfig.optional(),
};

export const movedConfig = z
  .array(
    z.strictObject({
      on: localDate.describe(
        'The local day from whose midnight on it belongs to these, YYYY-MM-DD.',
      ),
      ...belonging,
    }),
  )
  .min(1)
  .describe(
    'Where it went, by date, the earliest first. What the device itself says holds before the first.',
  );

export type SharesConfig = z.infer<typeof sharesConfig>;
export type DividedConfig = z.infer<typeof dividedConfig>;
export type MovedConfig = z.infer<typeof movedConfig>;
