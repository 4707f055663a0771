import type { SlotPrice } from '../tariff/index.ts';
import { type Column, currency, moment, price, text } from './column.ts';

export const priceColumns: readonly Column<SlotPrice>[] = [
  text('series', 'id of the price series', ({ series }) => series),
  ...moment<SlotPrice>('start', 'when the price begins to hold', ({ from }) => from),
  ...moment<SlotPrice>('end', 'when it ends', ({ to }) => to),
  price(
    'price_per_kwh',
    'as published, before formula, charges and taxes; may be negative',
    (row) => row.price,
  ),
  currency(),
];
