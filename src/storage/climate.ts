import type { Database } from 'better-sqlite3';
import type { ClimateSlot } from '../readings/index.ts';
import { type Instant, SLOT, type Span } from '../units/index.ts';
import type { Names } from './names.ts';
import { addClimate, type ClimateSum, inTableOrder, rowKey } from './pending.ts';

type Sums = Map<number, ClimateSum>;
type Measure = ClimateSlot['measure'];
type Row = [slot: number, ref: number, count: number, sum: number, min: number, max: number];

export interface ClimateTable {
  sums(slots: readonly ClimateSlot[]): Sums;
  write(sums: Sums): void;
  /** Ordered by slot, probe, measure. */
  read(span: Span, probe: string | undefined, pending: Sums): ClimateSlot[];
}

/** The place of a measure is its number in row keys. */
const MEASURES: readonly Measure[] = ['humidity', 'temperature'];
const TABLES: Record<Measure, { readonly table: string; readonly unit: string }> = {
  humidity: { table: 'humidities', unit: 'percent' },
  temperature: { table: 'temperatures', unit: 'c' },
};

function measureIn(db: Database, measure: Measure) {
  const { table, unit } = TABLES[measure];
  const columns = `slot, probe_ref, samples, sum_${unit}, min_${unit}, max_${unit}`;
  const within = `SELECT ${columns} FROM ${table} WHERE slot >= ? AND slot < ?`;
  return {
    merge: db.prepare<Row>(`
      INSERT INTO ${table} (${columns}) VALUES (?, ?, ?, ?, ?, ?)
      ON CONFLICT DO UPDATE SET
        samples = samples + excluded.samples,
        sum_${unit} = sum_${unit} + excluded.sum_${unit},
        min_${unit} = min(min_${unit}, excluded.min_${unit}),
        max_${unit} = max(max_${unit}, excluded.max_${unit})`),
    all: db.prepare<[number, number], Row>(within).raw(),
    one: db.prepare<[number, number, number], Row>(`${within} AND probe_ref = ?`).raw(),
  };
}

export function climateIn(db: Database, names: Names): ClimateTable {
  const tables = MEASURES.map((measure) => measureIn(db, measure));

  return {
    sums(slots) {
      const sums: Sums = new Map();
      if (slots.length === 0) return sums;
      names.learn(slots.map(({ probe }) => probe));
      for (const { slot: at, probe, measure, count, sum, min, max } of slots) {
        const slot = at / SLOT;
        const ref = names.ref(probe) as number;
        const code = MEASURES.indexOf(measure);
        addClimate(sums, rowKey(slot, ref, code), { slot, ref, code, count, sum, min, max });
      }
      return sums;
    },

    write(sums) {
      for (const key of inTableOrder(sums)) {
        const { slot, ref, code, count, sum, min, max } = sums.get(key) as ClimateSum;
        tables[code]?.merge.run(slot, ref, count, sum, min, max);
      }
    },

    read(span, probe, pending) {
      const from = Math.ceil(span.from / SLOT);
      const to = Math.ceil(span.to / SLOT);
      const wanted = probe === undefined ? undefined : names.ref(probe);
      if (probe !== undefined && wanted === undefined) return [];

      const sums: Sums = new Map();
      for (const [code, { all, one }] of tables.entries()) {
        const rows = wanted === undefined ? all.all(from, to) : one.all(from, to, wanted);
        for (const [slot, ref, count, sum, min, max] of rows) {
          sums.set(rowKey(slot, ref, code), { slot, ref, code, count, sum, min, max });
        }
      }
      for (const [key, more] of pending) {
        if (more.slot < from || more.slot >= to) continue;
        if (wanted === undefined || more.ref === wanted) addClimate(sums, key, more);
      }
      return [...sums.values()]
        .sort((a, b) => a.slot - b.slot || names.rank(a.ref) - names.rank(b.ref) || a.code - b.code)
        .map(({ slot, ref, code, count, sum, min, max }) => ({
          slot: (slot * SLOT) as Instant,
          probe: names.id(ref),
          measure: MEASURES[code] as Measure,
          count,
          sum,
          min,
          max,
        }));
    },
  };
}
