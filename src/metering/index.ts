export { readMeter, rebase } from './handover.ts';
export type {
  Known,
  MeterEvent,
  MeterNote,
  MeterSpec,
  Posting,
} from './meter.ts';
export { meterSpec } from './spec.ts';
export { beginMeter, type MeterState } from './state.ts';
export { type MeterStep, meter } from './step.ts';
