import type { HouseInterval } from '../books/index.ts';
import { type Column, currency, energy, moment, money, text } from './column.ts';

export const houseColumns: readonly Column<HouseInterval>[] = [
  ...moment<HouseInterval>('start', 'when the interval begins', ({ from }) => from),
  ...moment<HouseInterval>('end', 'when it ends', ({ to }) => to),
  text('meter', "which of the house's meters", ({ meter }) => meter),
  energy('energy_wh', 'what it counted', (row) => row.energy),
  money('cost', 'what the utility says it cost; empty where it does not say', ({ cost }) => cost),
  currency(),
  text('quality', 'how sure the utility is: valid, estimated or unknown', ({ quality }) => quality),
];
