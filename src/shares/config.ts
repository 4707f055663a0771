import { z } from 'zod';
import { id } from '../units/config.ts';

export const UPKEEP = 'upkeep';

export const sharesConfig = z
  .record(id, z.number().min(0).max(1))
  .describe(
    "Tank → fraction of this device's energy. Sums to 1; 'upkeep' takes what belongs to no tank.",
  );

export type SharesConfig = z.infer<typeof sharesConfig>;
