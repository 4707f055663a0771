import type { BookedEntry } from '../books/index.ts';
import type { Rate } from '../tariff/index.ts';
import type { Instant, MicroPerKwh, MilliwattHours } from '../units/index.ts';
import {
  type Column,
  currency,
  type ExportSite,
  energy,
  moment,
  price,
  seconds,
  text,
} from './column.ts';

/** An entry with the rate of its slot. */
interface EntryRow {
  readonly entry: BookedEntry;
  readonly rate: Rate | undefined;
  readonly perKwh: MicroPerKwh | undefined;
}

export const entryColumns: readonly Column<EntryRow>[] = [
  ...moment<EntryRow>('start', 'when the slot of 15 minutes begins', ({ entry }) => entry.slot),
  text(
    'device',
    'id of the device; plug/ID is a plug that feeds none of the config any more',
    ({ entry }) => {
      return entry.device;
    },
  ),
  text('device_name', 'its name for people', ({ entry }, site) => site.deviceName(entry.device)),
  text('known', 'how the energy is known: counted, integrated, bridged or reckoned', (row) => {
    return row.entry.known;
  }),
  energy('energy_wh', 'energy booked, to the mWh', ({ entry }) => entry.energy),
  energy('spread_wh', 'the part of it that is only spread evenly over its time', ({ entry }) => {
    return entry.spread;
  }),
  energy(
    'divided_wh',
    'the part of it that one plug measured for several devices, divided by reckoning',
    ({ entry }) => entry.divided ?? (0 as MilliwattHours),
  ),
  seconds('covered_s', 'how much of the slot this row knows about', ({ entry }) => entry.covered),
  seconds('drawing_s', 'how much of that time the device drew', ({ entry }) => entry.drawing),
  text('tariff', 'id of the tariff that holds', ({ rate }) => rate?.tariff),
  text('rate', 'id of the rate that holds', ({ rate }) => rate?.id),
  text('rate_name', 'its name for people', ({ rate }) => rate?.name),
  price(
    'price_per_kwh',
    'what a kWh costs in the slot, charges and taxes included; empty under blocks, where the month decides, and where no price was published',
    ({ perKwh }) => perKwh,
  ),
  currency(),
];

/** Entries in the order of their slots. */
export function* entryRows(entries: Iterable<BookedEntry>, site: ExportSite): Generator<EntryRow> {
  let holds: Omit<EntryRow, 'entry'> | undefined;
  let slot: Instant | undefined;
  for (const entry of entries) {
    if (holds === undefined || entry.slot !== slot) {
      slot = entry.slot;
      const rate = site.tariffs.rateAt(slot);
      holds = { rate, perKwh: pricePerKwh(rate, slot, site) };
    }
    yield { entry, ...holds };
  }
}

function pricePerKwh(
  rate: Rate | undefined,
  slot: Instant,
  { tariffs, publishedAt }: ExportSite,
): MicroPerKwh | undefined {
  if (rate?.price.kind === 'fixed') return rate.price.perKwh;
  if (rate?.price.kind !== 'slots') return undefined;
  const tariff = tariffs.tariffAt(slot);
  if (tariff?.series === undefined) return undefined;
  const published = publishedAt(tariff.series, slot);
  return published === undefined ? undefined : tariff.slotPrice(published);
}
