import Database from 'better-sqlite3';
import type { AccountBasis, DeviceConfig } from '../../src/books/index.ts';
import type { Instant } from '../../src/units/index.ts';
import { built } from './product.ts';
import { loadOf, socketOf } from './stream.ts';
import type { YearOfBooks } from './year-of-books.ts';

/** What a process of the re-pricing benchmark is told. */
export interface RepricingPlan extends YearOfBooks {
  readonly side: 'ours' | 'bare scan';
}

export interface RepricingCount {
  readonly seconds: number;
  readonly rows: number;
}

const plan = JSON.parse(process.argv[2] ?? '') as RepricingPlan;
const count = plan.side === 'ours' ? await reprice() : scan();
process.send?.(count);
process.disconnect();

/** The tariff of the whole year gets other hours, so that every day is drawn anew. */
async function reprice(): Promise<RepricingCount> {
  const { beginRepricing, stripsFrom } =
    await built<typeof import('../../src/books/index.ts')>('books/index.js');
  const { compileShares } =
    await built<typeof import('../../src/shares/index.ts')>('shares/index.js');
  const { compileTariffs } =
    await built<typeof import('../../src/tariff/index.ts')>('tariff/index.js');
  const { tariffConfig } =
    await built<typeof import('../../src/tariff/config.ts')>('tariff/config.js');
  const { Calendar } = await built<typeof import('../../src/units/index.ts')>('units/index.js');
  const { openStore } =
    await built<typeof import('../../src/storage/index.ts')>('storage/index.js');

  const calendar = new Calendar('Europe/Tallinn');
  const devices = devicesOf(plan.devices);
  const basis = (nightEnds: string): AccountBasis => ({
    calendar,
    tariffs: compileTariffs({ house: tariffConfig.parse(tariff(nightEnds)) }, calendar, 'EUR'),
    devices,
    shares: compileShares(devices, {}, calendar),
    strips: stripsFrom(devices, {}),
  });
  forgetSheets();
  const store = openStore({ file: plan.store });
  const now = (plan.from + (plan.slots + 1) * plan.slot) as Instant;
  const start = performance.now();
  const job = beginRepricing(store, basis('07:00'), basis('06:00'), now);
  while (job.step());
  const { site } = job.summary();
  const seconds = (performance.now() - start) / 1000;
  store.close();
  if (site.before.energy !== plan.energy || site.after.energy !== plan.energy) {
    throw new Error(`books hold ${plan.energy} mWh, re-priced were ${JSON.stringify(site)}`);
  }
  if (site.before.cost >= site.after.cost) throw new Error('a shorter night costs no less');
  return { seconds, rows: plan.rows };
}

function devicesOf(count: number): Record<string, DeviceConfig> {
  return Object.fromEntries(
    Array.from({ length: count }, (_, plug) => {
      const { kind, watts } = loadOf(plug);
      const tank = `tank-${Math.floor(plug / 5) + 1}`;
      const name = `gear-${socketOf(plug)}`;
      return [name, { kind, nameplate_w: watts, plug: `wall-${socketOf(plug)}`, tank }];
    }),
  );
}

function tariff(nightEnds: string): unknown {
  return {
    valid_from: '2010-01-01',
    energy: {
      kind: 'time-of-use',
      rates: { day: { price_per_kwh: 0.28 }, night: { price_per_kwh: 0.13 } },
      periods: [
        { rate: 'day', from: nightEnds, to: '22:00' },
        { rate: 'night', from: '22:00', to: nightEnds },
      ],
    },
  };
}

function forgetSheets(): void {
  const db = new Database(plan.store);
  db.exec('DELETE FROM sheets');
  db.close();
}

/** The least that anyone must do who looks at every entry. */
function scan(): RepricingCount {
  const db = new Database(plan.store, { readonly: true });
  const select = db
    .prepare<[], number[]>(`
      SELECT slot, device_ref, known, energy_mwh, spread_mwh, covered_ms, drawing_ms
      FROM entries ORDER BY slot, device_ref, known`)
    .raw();
  const start = performance.now();
  let rows = 0;
  let energy = 0;
  for (const row of select.iterate()) {
    rows += 1;
    energy += row[3] as number;
  }
  const seconds = (performance.now() - start) / 1000;
  db.close();
  if (energy !== plan.energy) throw new Error(`scanned ${energy} mWh of ${plan.energy}`);
  return { seconds, rows };
}
