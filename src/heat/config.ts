import { z } from 'zod';
import { displayName, id } from '../units/config.ts';

export const roomConfig = z
  .strictObject({ name: displayName.optional() })
  .describe('The air around tanks.');

export const tankConfig = z
  .strictObject({
    name: displayName.optional(),
    animals: z.string().max(200).optional().describe('Who lives there, for the alert’s reader.'),
    room: id,
    housing: z.enum(['aquarium', 'vivarium', 'terrarium', 'pond', 'rack-bay']).default('aquarium'),
    volume_l: z.number().positive().max(1_000_000).describe('Water it holds, litres.').optional(),
    dimensions_cm: z
      .strictObject({
        length: z.number().positive(),
        width: z.number().positive(),
        height: z.number().positive(),
      })
      .optional(),
    walls: z.enum(['glass', 'acrylic', 'insulated']).default('glass'),
    lid: z.boolean().default(true),
    keep_c: z
      .strictObject({ min: z.number().min(-5).max(60), max: z.number().min(-5).max(60) })
      .describe('The range the animals are kept in, °C.'),
    set_c: z.number().min(-5).max(60).optional().describe('Where the thermostat is set, °C.'),
  })
  .describe('Anything that houses animals.');

export type RoomConfig = z.infer<typeof roomConfig>;
export type TankConfig = z.infer<typeof tankConfig>;
