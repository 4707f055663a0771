import type { Database } from 'better-sqlite3';
import type { Delivery } from '../alerts/index.ts';
import { DAY, type Instant } from '../units/index.ts';

export interface DeliveryTable {
  /** Stores those whose id is new; the others are left as they are. */
  add(deliveries: readonly Delivery[]): void;
  /** Stores what became of one. */
  save(delivery: Delivery): void;
  /** Waiting and due at `dueBefore` or earlier, the earliest first. */
  due(dueBefore: Instant): Delivery[];
  /** Removes what was delivered or given up and is older than 90 days. */
  forget(now: Instant): void;
}

/** How long a sent message is remembered. */
export const DELIVERIES_KEPT = 90 * DAY;

interface Row {
  id: string;
  alert: string;
  change: string;
  channel: string;
  body: string;
  created_ms: number;
  attempts: number;
  due_ms: number;
  state: string;
  last_error: string | null;
}

function rowOf(delivery: Delivery): Row {
  const { id, alert, change, channel, body, created, attempts, due, state, lastError } = delivery;
  return {
    id,
    alert,
    change,
    channel,
    body,
    created_ms: created,
    attempts,
    due_ms: due,
    state,
    last_error: lastError ?? null,
  };
}

function deliveryOf(row: Row): Delivery {
  return {
    id: row.id,
    alert: row.alert,
    change: row.change as Delivery['change'],
    channel: row.channel,
    body: row.body,
    created: row.created_ms as Instant,
    attempts: row.attempts,
    due: row.due_ms as Instant,
    state: row.state as Delivery['state'],
    lastError: row.last_error ?? undefined,
  };
}

export function deliveriesIn(db: Database): DeliveryTable {
  const insert = `
    INSERT INTO deliveries
      (id, alert, change, channel, body, created_ms, attempts, due_ms, state, last_error)
    VALUES
      (@id, @alert, @change, @channel, @body, @created_ms, @attempts, @due_ms, @state, @last_error)
    ON CONFLICT (id)`;
  const add = db.prepare<[Row]>(`${insert} DO NOTHING`);
  const put = db.prepare<[Row]>(`${insert} DO UPDATE SET
    body = excluded.body,
    attempts = excluded.attempts,
    due_ms = excluded.due_ms,
    state = excluded.state,
    last_error = excluded.last_error`);
  const select = db.prepare<[number], Row>(`
    SELECT id, alert, change, channel, body, created_ms, attempts, due_ms, state, last_error
    FROM deliveries WHERE state = 'waiting' AND due_ms <= ? ORDER BY due_ms, id`);
  const remove = db.prepare<[number]>(
    "DELETE FROM deliveries WHERE state <> 'waiting' AND created_ms < ?",
  );

  return {
    add(deliveries) {
      for (const delivery of deliveries) add.run(rowOf(delivery));
    },
    save: (delivery) => void put.run(rowOf(delivery)),
    due: (dueBefore) => select.all(dueBefore).map(deliveryOf),
    forget: (now) => void remove.run(now - DELIVERIES_KEPT),
  };
}
