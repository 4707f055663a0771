import { z } from 'zod';
import { id } from '../units/config.ts';

export const notifyConfig = z
  .strictObject({
    mqtt: z
      .strictObject({ enabled: z.boolean().default(true).describe('Publish alerts.') })
      .prefault({})
      .describe('Alerts as retained messages below the daemon’s own topic.'),
    webhooks: z
      .record(
        id,
        z.strictObject({
          url: z.string().describe('http:// or https:// address that takes a JSON POST.'),
          headers: z
            .record(z.string(), z.string())
            .default({})
            .describe('Sent with each POST; secrets best as ${file:PATH} or ${env:NAME}.'),
          timeout_s: z
            .number()
            .positive()
            .max(120)
            .default(10)
            .describe('An answer that takes longer counts as none, seconds.'),
        }),
      )
      .default({}),
  })
  .describe('How alerts get through.');

export type NotifyConfig = z.infer<typeof notifyConfig>;
export type WebhookConfig = NotifyConfig['webhooks'][string];
