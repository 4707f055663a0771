import type { Database } from 'better-sqlite3';
import type { Alert, AlertState } from '../alerts/index.ts';
import type { Instant, Span } from '../units/index.ts';
import type { Evidence } from '../watches/index.ts';

/** Which alerts are wanted; all that is given must hold. */
export interface AlertFilter {
  readonly states?: readonly AlertState[];
  /** Alive at some moment of the span: begun before its end and not closed before its start. */
  readonly span?: Span;
}

export interface AlertTable {
  /** Replaces alerts of the same id. Closed alerts are kept for good. */
  save(alerts: readonly Alert[]): void;
  /** The oldest first. */
  read(filter: AlertFilter): Alert[];
}

interface Row {
  id: string;
  watch: string;
  subject_kind: string;
  subject: string;
  state: string;
  severity: string;
  confidence: string;
  reason: string;
  evidence: string;
  since_ms: number;
  opened_ms: number | null;
  acknowledged_ms: number | null;
  closed_ms: number | null;
}

function rowOf(alert: Alert): Row {
  return {
    id: alert.id,
    watch: alert.watch,
    subject_kind: alert.subject.kind,
    subject: alert.subject.id,
    state: alert.state,
    severity: alert.severity,
    confidence: alert.confidence,
    reason: alert.reason,
    evidence: JSON.stringify(alert.evidence),
    since_ms: alert.since,
    opened_ms: alert.opened ?? null,
    acknowledged_ms: alert.acknowledged ?? null,
    closed_ms: alert.closed ?? null,
  };
}

function evidenceOf(text: string): Evidence[] {
  const stored = JSON.parse(text) as (Omit<Evidence, 'at'> & { at?: Instant })[];
  return stored.map((one) => ({ ...one, at: one.at }));
}

function alertOf(row: Row): Alert {
  return {
    id: row.id,
    watch: row.watch as Alert['watch'],
    subject: { kind: row.subject_kind as Alert['subject']['kind'], id: row.subject },
    state: row.state as AlertState,
    severity: row.severity as Alert['severity'],
    confidence: row.confidence as Alert['confidence'],
    reason: row.reason,
    evidence: evidenceOf(row.evidence),
    since: row.since_ms as Instant,
    opened: (row.opened_ms ?? undefined) as Instant | undefined,
    acknowledged: (row.acknowledged_ms ?? undefined) as Instant | undefined,
    closed: (row.closed_ms ?? undefined) as Instant | undefined,
  };
}

const COLUMNS = [
  'id',
  'watch',
  'subject_kind',
  'subject',
  'state',
  'severity',
  'confidence',
  'reason',
  'evidence',
  'since_ms',
  'opened_ms',
  'acknowledged_ms',
  'closed_ms',
] as const satisfies (keyof Row)[];

const ALL: readonly AlertState[] = ['pending', 'open', 'acknowledged', 'closed'];

export function alertsIn(db: Database): AlertTable {
  const put = db.prepare<[Row]>(`
    INSERT INTO alerts (${COLUMNS.join(', ')})
    VALUES (${COLUMNS.map((column) => `@${column}`).join(', ')})
    ON CONFLICT (id) DO UPDATE SET
      ${COLUMNS.map((column) => `${column} = excluded.${column}`).join(', ')}`);
  const select = db.prepare<[string, number, number], Row>(`
    SELECT ${COLUMNS.join(', ')} FROM alerts
    WHERE state IN (SELECT value FROM json_each(?))
      AND since_ms < ? AND (closed_ms IS NULL OR closed_ms >= ?)
    ORDER BY since_ms, id`);
  // Asked for at every start and for every page, among years of closed ones.
  const selectLive = db.prepare<[], Row>(`
    SELECT ${COLUMNS.join(', ')} FROM alerts WHERE state <> 'closed' ORDER BY since_ms, id`);

  return {
    save(alerts) {
      for (const alert of alerts) put.run(rowOf(alert));
    },
    read({ states = ALL, span }) {
      const rows =
        span === undefined && !states.includes('closed')
          ? selectLive.all().filter((row) => states.includes(row.state as AlertState))
          : select.all(
              JSON.stringify(states),
              span?.to ?? Number.MAX_SAFE_INTEGER,
              span?.from ?? Number.MIN_SAFE_INTEGER,
            );
      return rows.map(alertOf);
    },
  };
}
