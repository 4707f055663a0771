import type { Known } from '../metering/index.ts';
import type { Rate } from '../tariff/index.ts';
import type { MicroUnits, MilliwattHours, Span } from '../units/index.ts';
import { type Column, currency, energy, moment, money, text } from './column.ts';

/** What a device drew in a local day at one rate, by one way of knowing. */
export interface DayLine {
  readonly day: Span;
  readonly device: string;
  /** undefined where no tariff prices it. */
  readonly rate: Rate | undefined;
  readonly known: Known;
  readonly energy: MilliwattHours;
  /** undefined where it has no price. */
  readonly cost: MicroUnits | undefined;
}

export const dayColumns: readonly Column<DayLine>[] = [
  text('day', 'the local day', ({ day }, { calendar }) => calendar.dateAt(day.from)),
  ...moment<DayLine>('start', 'when the day begins', ({ day }) => day.from),
  text('device', 'id of the device', ({ device }) => device),
  text('device_name', 'its name for people', ({ device }, site) => site.deviceName(device)),
  text('tariff', 'id of the tariff', ({ rate }) => rate?.tariff),
  text('rate', 'id of the rate', ({ rate }) => rate?.id),
  text('rate_name', 'its name for people', ({ rate }) => rate?.name),
  text('known', 'how the energy is known: counted, integrated, bridged or reckoned', (row) => {
    return row.known;
  }),
  energy('energy_wh', 'energy of the device at this rate, known this way', (row) => row.energy),
  money('cost', 'what it cost, to the millionth; empty where it has no price', ({ cost }) => cost),
  currency(),
];
