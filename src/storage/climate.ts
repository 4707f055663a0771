import type { Database } from 'better-sqlite3';
import type { ClimateSlot } from '../readings/index.ts';
import { type Instant, SLOT, type Span } from '../units/index.ts';
import type { Names } from './names.ts';

export interface ClimateTable {
  merge(slots: readonly ClimateSlot[]): void;
  /** Ordered by slot, probe, measure. */
  read(span: Span, probe: string | undefined): ClimateSlot[];
}

type Measure = ClimateSlot['measure'];
type Row = [slot: number, ref: number, samples: number, sum: number, min: number, max: number];

const TABLES: Record<Measure, { table: string; unit: string }> = {
  humidity: { table: 'humidities', unit: 'percent' },
  temperature: { table: 'temperatures', unit: 'c' },
};

function measureIn(db: Database, measure: Measure) {
  const { table, unit } = TABLES[measure];
  const columns = `slot, probe_ref, samples, sum_${unit}, min_${unit}, max_${unit}`;
  const merge = db.prepare<Row>(`
    INSERT INTO ${table} (${columns}) VALUES (?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET
      samples = samples + excluded.samples,
      sum_${unit} = sum_${unit} + excluded.sum_${unit},
      min_${unit} = min(min_${unit}, excluded.min_${unit}),
      max_${unit} = max(max_${unit}, excluded.max_${unit})`);
  const within = `SELECT ${columns} FROM ${table} WHERE slot >= ? AND slot < ?`;
  const all = db.prepare<[number, number], Row>(within).raw();
  const one = db.prepare<[number, number, number], Row>(`${within} AND probe_ref = ?`).raw();
  return { measure, merge, all, one };
}

export function climateIn(db: Database, names: Names): ClimateTable {
  const humidity = measureIn(db, 'humidity');
  const temperature = measureIn(db, 'temperature');

  return {
    merge(slots) {
      if (slots.length === 0) return;
      names.learn(slots.map(({ probe }) => probe));
      for (const { slot, probe, measure, count, sum, min, max } of slots) {
        const table = measure === 'humidity' ? humidity : temperature;
        table.merge.run(slot / SLOT, names.ref(probe) as number, count, sum, min, max);
      }
    },

    read(span, probe) {
      const from = Math.ceil(span.from / SLOT);
      const to = Math.ceil(span.to / SLOT);
      const ref = probe === undefined ? undefined : names.ref(probe);
      if (probe !== undefined && ref === undefined) return [];
      return [humidity, temperature]
        .flatMap(({ measure, all, one }) =>
          (ref === undefined ? all.all(from, to) : one.all(from, to, ref)).map(
            ([slot, id, count, sum, min, max]): ClimateSlot => ({
              slot: (slot * SLOT) as Instant,
              probe: names.id(id),
              measure,
              count,
              sum,
              min,
              max,
            }),
          ),
        )
        .sort((a, b) => a.slot - b.slot || (a.probe < b.probe ? -1 : Number(a.probe > b.probe)));
    },
  };
}
