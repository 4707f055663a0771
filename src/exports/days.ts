import type { DayLine } from '../books/index.ts';
import { type Column, currency, energy, localDay, moment, money, text } from './column.ts';

export const dayColumns: readonly Column<DayLine>[] = [
  localDay(({ day }) => day.from),
  ...moment<DayLine>('start', 'when the day begins', ({ day }) => day.from),
  text('device', 'id of the device', ({ device }) => device),
  text('device_name', 'its name for people', ({ device }, site) => site.deviceName(device)),
  text('tariff', 'id of the tariff', ({ rate }) => rate?.tariff),
  text('rate', 'id of the rate; empty where nothing prices the energy', ({ rate }) => rate?.id),
  text('rate_name', 'its name for people', ({ rate }) => rate?.name),
  text('known', 'how the energy is known: counted, integrated, bridged or reckoned', (row) => {
    return row.known;
  }),
  energy('energy_wh', 'energy of the device at this rate, known this way', (row) => row.energy),
  money('cost', 'what it cost, to the millionth; empty where it has no price', ({ cost }) => cost),
  currency(),
];
