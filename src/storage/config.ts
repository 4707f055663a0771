import { z } from 'zod';

export const storeConfig = z
  .strictObject({
    file: z.string().min(1).default('ampulla.db').describe('Beside the config unless absolute.'),
    group_time_s: z
      .number()
      .min(0.05)
      .max(60)
      .default(1)
      .describe(
        'Readings are committed together at most this long after arrival; 60 spares SD cards.',
      ),
  })
  .describe('Where the books are kept.');

export type StoreConfig = z.infer<typeof storeConfig>;
