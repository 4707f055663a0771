import type { Database } from 'better-sqlite3';
import type { KeptBill } from '../books/index.ts';
import type { Instant, LocalDate, MicroUnits, MilliwattHours } from '../units/index.ts';
import { requireRecord, requireStanding, type Withdrawal, withdrawalOf } from './records.ts';

/** A bill that has no number yet. */
export type NewBill = Omit<KeptBill, 'number' | 'withdrawn'>;

export interface BillTable {
  /** @returns its number */
  add(bill: NewBill): number;
  withdraw(number: number, withdrawal: Withdrawal): void;
  /** In the order they were entered, withdrawn ones too. */
  all(): KeptBill[];
}

interface Row {
  readonly number: number;
  readonly first: string;
  readonly last: string;
  readonly energy_mwh: number | null;
  readonly total_micro: number | null;
  readonly note: string | null;
  readonly made_ms: number;
  readonly withdrawn_ms: number | null;
  readonly withdrawn_reason: string | null;
}

const billOf = (row: Row): KeptBill => ({
  number: row.number,
  first: row.first as LocalDate,
  last: row.last as LocalDate,
  energy: (row.energy_mwh ?? undefined) as MilliwattHours | undefined,
  total: (row.total_micro ?? undefined) as MicroUnits | undefined,
  note: row.note ?? undefined,
  made: row.made_ms as Instant,
  withdrawn: withdrawalOf(row.withdrawn_ms, row.withdrawn_reason),
});

const LOCAL_DATE = /^\d{4}-\d{2}-\d{2}$/;

function requireBill(bill: NewBill): void {
  const { first, last, energy = 0, total = 0, made } = bill;
  const fits =
    LOCAL_DATE.test(first) &&
    LOCAL_DATE.test(last) &&
    first <= last &&
    [energy, total, made].every(Number.isSafeInteger);
  requireRecord(fits, 'a bill', bill);
}

export function billsIn(db: Database): BillTable {
  const insert = db.prepare<[string, string, number | null, number | null, string | null, number]>(`
    INSERT INTO bills (first, last, energy_mwh, total_micro, note, made_ms)
    VALUES (?, ?, ?, ?, ?, ?)`);
  const withdraw = db.prepare<[number, string, number]>(
    'UPDATE bills SET withdrawn_ms = ?, withdrawn_reason = ? WHERE number = ?',
  );
  const selectOne = db.prepare<[number], Row>('SELECT * FROM bills WHERE number = ?');
  const selectAll = db.prepare<[], Row>('SELECT * FROM bills ORDER BY number');

  return {
    add(bill) {
      requireBill(bill);
      const { first, last, energy = null, total = null, note = null, made } = bill;
      return Number(insert.run(first, last, energy, total, note, made).lastInsertRowid);
    },
    withdraw(number, { at, reason }) {
      const row = selectOne.get(number);
      requireStanding(row && billOf(row), `bill ${number}`);
      withdraw.run(at, reason, number);
    },
    all: () => selectAll.all().map(billOf),
  };
}
