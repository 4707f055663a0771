import type { Correction } from '../books/index.ts';
import { type Column, count, energy, moment, text } from './column.ts';

export const correctionColumns: readonly Column<Correction>[] = [
  count('number', 'in the order they were made', ({ number }) => number),
  text('device', 'id of the device', ({ device }) => device),
  text('device_name', 'its name for people', ({ device }, site) => site.deviceName(device)),
  text('kind', 'void: what stands in the span does not count; book: energy is added', (row) => {
    return row.kind;
  }),
  ...moment<Correction>('start', 'when the span begins', ({ span }) => span.from),
  ...moment<Correction>('end', 'when it ends', ({ span }) => span.to),
  energy('energy_wh', 'energy booked; empty for a void', (row) => {
    return row.kind === 'book' ? row.energy : undefined;
  }),
  text('reason', "the keeper's own words", ({ reason }) => reason),
  ...moment<Correction>('made', 'when it was made', ({ made }) => made),
  ...moment<Correction>('withdrawn', 'when it was withdrawn; empty where it holds', (row) => {
    return row.withdrawn?.at;
  }),
  text('withdrawn_reason', 'why', ({ withdrawn }) => withdrawn?.reason),
];
