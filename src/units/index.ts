export { Calendar, type LocalDate, type LocalSlot } from './calendar.ts';
export { CodedError } from './errors.ts';
export { readsFahrenheit } from './locale.ts';
export * from './money.ts';
export type { OffsetStretch } from './offsets.ts';
export type { Clock, Logger } from './ports.ts';
export * from './quantities.ts';
export * from './slots.ts';
export * from './wall-clock.ts';
