export type { ClimateSlot } from './climate.ts';
export type {
  Decoded,
  Measure,
  Message,
  Reading,
  Refusal,
  RefusalReason,
} from './reading.ts';
