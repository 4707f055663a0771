import { z } from 'zod';

export const logConfig = z
  .strictObject({
    level: z
      .enum(['debug', 'info', 'warn', 'error'])
      .default('info')
      .describe('The least that is written; error writes least.'),
  })
  .describe('What is written to standard output.');

export type LogConfig = z.infer<typeof logConfig>;
