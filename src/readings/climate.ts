import type { Instant } from '../units/index.ts';

/** What one probe measured within one slot: enough for mean, lowest and highest. */
export interface ClimateSlot {
  readonly slot: Instant;
  readonly probe: string;
  readonly measure: 'temperature' | 'humidity';
  readonly count: number;
  readonly sum: number;
  readonly min: number;
  readonly max: number;
}
