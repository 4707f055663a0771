import type { Database } from 'better-sqlite3';
import type { Correction } from '../books/index.ts';
import { type Instant, type MilliwattHours, SLOT, type Span } from '../units/index.ts';
import {
  isSpan,
  requireRecord,
  requireStanding,
  type Withdrawal,
  withdrawalOf,
} from './records.ts';

/** A correction that has no number yet. */
export type NewCorrection = Omit<Correction, 'number' | 'withdrawn'>;

export interface CorrectionTable {
  /** @returns its number */
  add(correction: NewCorrection): number;
  /** @returns what it was */
  withdraw(number: number, withdrawal: Withdrawal): Correction;
  /** In the order they were made, withdrawn ones too. */
  all(): Correction[];
  /** Those that touch the span and stand, in the order they were made. */
  within(span: Span): Correction[];
}

interface Row {
  readonly number: number;
  readonly device: string;
  readonly from_ms: number;
  readonly to_ms: number;
  readonly kind: Correction['kind'];
  readonly energy_mwh: number;
  readonly reason: string;
  readonly made_ms: number;
  readonly withdrawn_ms: number | null;
  readonly withdrawn_reason: string | null;
}

const correctionOf = (row: Row): Correction => ({
  number: row.number,
  device: row.device,
  span: { from: row.from_ms as Instant, to: row.to_ms as Instant },
  kind: row.kind,
  energy: row.energy_mwh as MilliwattHours,
  reason: row.reason,
  made: row.made_ms as Instant,
  withdrawn: withdrawalOf(row.withdrawn_ms, row.withdrawn_reason),
});

function requireCorrection(correction: NewCorrection): void {
  const { device, span, kind, energy, reason, made } = correction;
  const fits =
    device !== '' &&
    isSpan(span) &&
    span.from % SLOT === 0 &&
    span.to % SLOT === 0 &&
    (kind === 'book' ? Number.isSafeInteger(energy) : kind === 'void' && energy === 0) &&
    reason.trim() !== '' &&
    Number.isSafeInteger(made);
  requireRecord(fits, 'a correction', correction);
}

export function correctionsIn(db: Database): CorrectionTable {
  const insert = db.prepare<[string, number, number, string, number, string, number]>(`
    INSERT INTO corrections (device, from_ms, to_ms, kind, energy_mwh, reason, made_ms)
    VALUES (?, ?, ?, ?, ?, ?, ?)`);
  const withdraw = db.prepare<[number, string, number]>(
    'UPDATE corrections SET withdrawn_ms = ?, withdrawn_reason = ? WHERE number = ?',
  );
  const selectOne = db.prepare<[number], Row>('SELECT * FROM corrections WHERE number = ?');
  const selectAll = db.prepare<[], Row>('SELECT * FROM corrections ORDER BY number');
  const selectWithin = db.prepare<[number, number], Row>(`
    SELECT * FROM corrections WHERE to_ms > ? AND from_ms < ? AND withdrawn_ms IS NULL
    ORDER BY number`);

  return {
    add(correction) {
      requireCorrection(correction);
      const { device, span, kind, energy, reason, made } = correction;
      return Number(
        insert.run(device, span.from, span.to, kind, energy, reason, made).lastInsertRowid,
      );
    },
    withdraw(number, { at, reason }) {
      const row = selectOne.get(number);
      const correction = row && correctionOf(row);
      requireStanding(correction, `correction ${number}`);
      withdraw.run(at, reason, number);
      return correction;
    },
    all: () => selectAll.all().map(correctionOf),
    within: ({ from, to }) => selectWithin.all(from, to).map(correctionOf),
  };
}
