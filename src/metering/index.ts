export { readMeter, rebase } from './handover.ts';
export type {
  Known,
  MeterEvent,
  MeterNote,
  MeterSpec,
  Posting,
} from './meter.ts';
export { meterSpec } from './spec.ts';
export { beginMeter, type Draft as MeterDraft, draftOf, type MeterState } from './state.ts';
export { type MeterChange, type MeterStep, meter, meterInPlace } from './step.ts';
