export type {
  Known,
  MeterEvent,
  MeterNote,
  MeterSpec,
  Posting,
} from './meter.ts';
