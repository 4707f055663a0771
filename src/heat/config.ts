import { z } from 'zod';
import { displayName, id } from '../units/config.ts';

export const roomConfig = z
  .strictObject({
    name: displayName.optional(),
    outdoors: z
      .boolean()
      .default(false)
      .describe('Its air is the weather: a fall of its temperature is no alert.'),
  })
  .describe('The air around tanks.');

export const tankConfig = z
  .strictObject({
    name: displayName.optional(),
    animals: z.string().max(200).optional().describe('Who lives there, for the alert’s reader.'),
    room: id.describe('The room whose air is around it.'),
    housing: z
      .enum(['aquarium', 'vivarium', 'terrarium', 'pond', 'rack-bay'])
      .default('aquarium')
      .describe('What it is built as.'),
    volume_l: z.number().positive().max(1_000_000).describe('Water it holds, liters.').optional(),
    dimensions_cm: z
      .strictObject({
        length: z.number().positive().describe('Outer length, cm.'),
        width: z.number().positive().describe('Outer width, front to back, cm.'),
        height: z.number().positive().describe('Outer height, cm.'),
      })
      .optional(),
    walls: z
      .enum(['glass', 'acrylic', 'insulated'])
      .default('glass')
      .describe('What its walls are; heat is lost through them.'),
    lid: z.boolean().default(true).describe('Whether it is covered; open water loses much heat.'),
    keep_c: z
      .strictObject({
        min: z.number().min(-5).max(60).describe('Below it is too cold, °C.'),
        max: z.number().min(-5).max(60).describe('Above it is too warm, °C.'),
      })
      .describe('The range the animals are kept in, °C.'),
    set_c: z.number().min(-5).max(60).optional().describe('Where the thermostat is set, °C.'),
  })
  .describe('Anything that houses animals.');

export type RoomConfig = z.infer<typeof roomConfig>;
export type TankConfig = z.infer<typeof tankConfig>;
