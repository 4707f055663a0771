import type { Migration } from '../migrate.ts';

/**
 * Entries are keyed by slot first, because a commit writes one slot of many devices: it then
 * touches a few neighboring pages instead of one a device. Large rows (states, alerts) have a
 * rowid, because SQLite moves long rows of tables without one to pages of their own.
 */
export const books: Migration = {
  version: 1,
  what: 'the books, climate, states, alerts and deliveries',
  sql: `
    -- Short numbers for the ids of devices, probes and plugs. Never deleted, never used again.
    CREATE TABLE names (
      ref INTEGER PRIMARY KEY,
      id TEXT NOT NULL UNIQUE
    ) STRICT;

    -- slot: quarter-hours since 1970-01-01T00:00Z.
    -- known: 0 counted, 1 integrated, 2 bridged, 3 reckoned.
    CREATE TABLE entries (
      slot INTEGER NOT NULL,
      device_ref INTEGER NOT NULL REFERENCES names (ref),
      known INTEGER NOT NULL CHECK (known BETWEEN 0 AND 3),
      energy_mwh INTEGER NOT NULL,
      spread_mwh INTEGER NOT NULL,
      covered_ms INTEGER NOT NULL,
      drawing_ms INTEGER NOT NULL,
      PRIMARY KEY (slot, device_ref, known)
    ) STRICT, WITHOUT ROWID;

    CREATE TABLE temperatures (
      slot INTEGER NOT NULL,
      probe_ref INTEGER NOT NULL REFERENCES names (ref),
      samples INTEGER NOT NULL,
      sum_c REAL NOT NULL,
      min_c REAL NOT NULL,
      max_c REAL NOT NULL,
      PRIMARY KEY (slot, probe_ref)
    ) STRICT, WITHOUT ROWID;

    CREATE TABLE humidities (
      slot INTEGER NOT NULL,
      probe_ref INTEGER NOT NULL REFERENCES names (ref),
      samples INTEGER NOT NULL,
      sum_percent REAL NOT NULL,
      min_percent REAL NOT NULL,
      max_percent REAL NOT NULL,
      PRIMARY KEY (slot, probe_ref)
    ) STRICT, WITHOUT ROWID;

    -- What the rooms of the program must find again after a restart, as JSON.
    CREATE TABLE states (
      ref INTEGER PRIMARY KEY,
      room TEXT NOT NULL,
      key TEXT NOT NULL,
      state TEXT NOT NULL,
      UNIQUE (room, key)
    ) STRICT;

    -- Committed and not yet added to entries, temperatures, humidities and states: see journal.ts.
    CREATE TABLE journal (
      place INTEGER PRIMARY KEY,
      number INTEGER NOT NULL,
      changes ANY NOT NULL
    ) STRICT;
    CREATE TABLE journal_folded (number INTEGER NOT NULL) STRICT;
    INSERT INTO journal_folded VALUES (0);

    -- before and found: W or Wh, as the event has it.
    CREATE TABLE notes (
      number INTEGER PRIMARY KEY,
      at_ms INTEGER NOT NULL,
      event TEXT NOT NULL,
      plug TEXT NOT NULL,
      before REAL,
      found REAL NOT NULL
    ) STRICT;
    CREATE INDEX notes_by_time ON notes (at_ms);

    -- feed and source: '' where it was not known.
    CREATE TABLE refusals (
      reason TEXT NOT NULL,
      feed TEXT NOT NULL,
      source_kind TEXT NOT NULL,
      source TEXT NOT NULL,
      times INTEGER NOT NULL,
      last_topic TEXT NOT NULL,
      last_found TEXT NOT NULL,
      last_at_ms INTEGER NOT NULL,
      UNIQUE (reason, feed, source_kind, source)
    ) STRICT;

    CREATE TABLE alerts (
      id TEXT NOT NULL UNIQUE,
      watch TEXT NOT NULL,
      subject_kind TEXT NOT NULL,
      subject TEXT NOT NULL,
      state TEXT NOT NULL,
      severity TEXT NOT NULL,
      confidence TEXT NOT NULL,
      reason TEXT NOT NULL,
      evidence TEXT NOT NULL,
      since_ms INTEGER NOT NULL,
      opened_ms INTEGER,
      acknowledged_ms INTEGER,
      closed_ms INTEGER
    ) STRICT;
    CREATE INDEX alerts_by_time ON alerts (since_ms);
    CREATE INDEX alerts_not_closed ON alerts (state) WHERE state <> 'closed';

    CREATE TABLE deliveries (
      id TEXT NOT NULL UNIQUE,
      alert TEXT NOT NULL,
      change TEXT NOT NULL,
      channel TEXT NOT NULL,
      body TEXT NOT NULL,
      created_ms INTEGER NOT NULL,
      attempts INTEGER NOT NULL,
      due_ms INTEGER NOT NULL,
      state TEXT NOT NULL,
      last_error TEXT
    ) STRICT;
    CREATE INDEX deliveries_waiting ON deliveries (due_ms) WHERE state = 'waiting';
    CREATE INDEX deliveries_settled ON deliveries (created_ms) WHERE state <> 'waiting';
  `,
};
