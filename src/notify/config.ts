import { z } from 'zod';
import { id } from '../units/config.ts';

export const notifyConfig = z
  .strictObject({
    mqtt: z
      .strictObject({ enabled: z.boolean().default(true) })
      .prefault({})
      .describe('Alerts as retained messages below the daemon’s own topic.'),
    webhooks: z
      .record(
        id,
        z.strictObject({
          url: z.string().describe('http:// or https:// address that takes a JSON POST.'),
          headers: z.record(z.string(), z.string()).default({}),
          timeout_s: z.number().positive().max(120).default(10),
        }),
      )
      .default({}),
  })
  .describe('How alerts get through.');

export type NotifyConfig = z.infer<typeof notifyConfig>;
