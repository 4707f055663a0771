import { z } from 'zod';
import { sharesConfig } from '../shares/config.ts';
import { displayName, id, wallTime } from '../units/config.ts';

export const DEVICE_KINDS = [
  'heater',
  'light',
  'filter',
  'pump',
  'air-pump',
  'chiller',
  'fan',
  'uv',
  'heat-mat',
  'room-heater',
  'dehumidifier',
  'other',
] as const;

export const deviceConfig = z
  .strictObject({
    name: displayName.optional(),
    kind: z.enum(DEVICE_KINDS).describe('What it does; watches and reckoning go by it.'),
    nameplate_w: z.number().positive().max(100_000).describe('Rated power, W.'),
    plug: id.optional().describe('The plug that meters it. Without one it is reckoned.'),
    tank: id.optional().describe("The tank it serves, or 'upkeep'; give either tank or shares."),
    shares: sharesConfig.optional(),
    schedule: z
      .array(z.strictObject({ from: wallTime, to: wallTime }))
      .min(1)
      .optional()
      .describe('When it is on, local time. Default: always.'),
    duty: z
      .number()
      .min(0)
      .max(1)
      .optional()
      .describe(
        'For a device without a plug: fraction of its scheduled time at rated power. Default: heaters (room heaters too), chillers and heat mats a third (common practice), the rest 1.',
      ),
    reckon_from: z
      .string()
      .regex(/^\d{4}-\d{2}-\d{2}$/, "a date written 'YYYY-MM-DD'")
      .optional()
      .describe(
        'For a device without a plug: the first local day to reckon. Default: the first start with this device.',
      ),
  })
  .describe('One electrical thing.');

export type DeviceConfig = z.infer<typeof deviceConfig>;
export type DeviceKind = (typeof DEVICE_KINDS)[number];
