import { z } from 'zod';
import { belonging, movedConfig } from '../shares/config.ts';
import { displayName, id, localDate, wallTime } from '../units/config.ts';

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
    plug: id
      .optional()
      .describe(
        'The plug that meters it; several devices may be on one that has a remainder. Without one it is reckoned.',
      ),
    ...belonging,
    moved: movedConfig.optional(),
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
        'For a device without a plug, or with others on one: fraction of its scheduled time at rated power. Default: heaters (room heaters too), chillers and heat mats a third (common practice), the rest 1.',
      ),
    heat_into_water: z
      .number()
      .min(0)
      .max(1)
      .optional()
      .describe(
        'The part of its power that ends as heat in the water of its tank. Default, by assumption: heaters and pumps under water 1, filters and UV in line 0.7, heat mats 0.5, lights over open water 0.4, air pumps 0.1, the rest none. A pump in line is about 0.7.',
      ),
    reckon_from: localDate
      .optional()
      .describe(
        'For a device without a plug: the first local day to reckon. Default: the first start with this device.',
      ),
    until: localDate
      .optional()
      .describe(
        'The last local day it was in use. It stays in the file, so that its past stays with its tanks; of the time after, nothing is reckoned and nothing asked.',
      ),
  })
  .describe('One electrical thing.');

export type DeviceConfig = z.infer<typeof deviceConfig>;
export type DeviceKind = (typeof DEVICE_KINDS)[number];

export const householdConfig = z
  .strictObject({
    other_kwh_per_month: z
      .number()
      .min(0)
      .max(1_000_000)
      .optional()
      .describe(
        'What the rest of the house draws in a month, kWh: decides in which blocks of a tariff the fish room lies where no intervals of the house were imported.',
      ),
  })
  .describe('The house around the fish room.');
