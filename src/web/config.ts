import { z } from 'zod';

export const webConfig = z
  .strictObject({
    enabled: z.boolean().default(true).describe('Serve the page.'),
    port: z
      .number()
      .int()
      .min(0)
      .max(65_535)
      .default(8624)
      .describe('On 127.0.0.1 only; 0 takes any free port.'),
  })
  .describe('The built-in page.');

export type WebConfig = z.infer<typeof webConfig>;
