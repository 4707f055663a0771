import type { Migration } from '../migrate.ts';

/**
 * What is written for good is numbered and never deleted: corrections, bills, imports, repricings.
 * Prices and the house's intervals are keyed by what they are of and their time, so that the same
 * file may come twice.
 */
export const balance: Migration = {
  version: 2,
  what: 'corrections, prices by the slot, the house and its bills, requests',
  sql: `
    -- Counts up with every change to corrections, slot_prices and house_intervals.
    CREATE TABLE edition (number INTEGER NOT NULL) STRICT;
    INSERT INTO edition VALUES (0);

    -- What a keeper corrected by hand. energy_mwh: 0 for a void.
    CREATE TABLE corrections (
      number INTEGER PRIMARY KEY,
      device TEXT NOT NULL,
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL CHECK (to_ms > from_ms),
      kind TEXT NOT NULL CHECK (kind IN ('void', 'book')),
      energy_mwh INTEGER NOT NULL,
      reason TEXT NOT NULL,
      made_ms INTEGER NOT NULL,
      withdrawn_ms INTEGER,
      withdrawn_reason TEXT
    ) STRICT;

    -- longest_ms: no price of the series holds for longer, so that a reader knows how far back to look.
    CREATE TABLE price_series (
      ref INTEGER PRIMARY KEY,
      id TEXT NOT NULL UNIQUE,
      longest_ms INTEGER NOT NULL
    ) STRICT;

    -- As published. An hour and its quarters may both stand here: see slot-prices.ts.
    CREATE TABLE slot_prices (
      series_ref INTEGER NOT NULL REFERENCES price_series (ref),
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL CHECK (to_ms > from_ms),
      price_micro_per_kwh INTEGER NOT NULL,
      PRIMARY KEY (series_ref, from_ms, to_ms)
    ) STRICT, WITHOUT ROWID;

    CREATE TABLE house_meters (
      ref INTEGER PRIMARY KEY,
      id TEXT NOT NULL UNIQUE,
      longest_ms INTEGER NOT NULL
    ) STRICT;

    -- Where intervals came from, in the words of whoever imported them.
    CREATE TABLE house_sources (
      ref INTEGER PRIMARY KEY,
      text TEXT NOT NULL UNIQUE
    ) STRICT;

    -- Those of one meter never overlap. quality: 0 valid, 1 estimated, 2 unknown.
    CREATE TABLE house_intervals (
      meter_ref INTEGER NOT NULL REFERENCES house_meters (ref),
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL CHECK (to_ms > from_ms),
      energy_mwh INTEGER NOT NULL,
      cost_micro INTEGER,
      quality INTEGER NOT NULL CHECK (quality BETWEEN 0 AND 2),
      source_ref INTEGER NOT NULL REFERENCES house_sources (ref),
      PRIMARY KEY (meter_ref, from_ms)
    ) STRICT, WITHOUT ROWID;

    -- Former values of slot_prices and house_intervals. kept_in: the table; id: its series or meter;
    -- former: JSON of the columns that changed.
    CREATE TABLE superseded (
      number INTEGER PRIMARY KEY,
      kept_in TEXT NOT NULL,
      id TEXT NOT NULL,
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL,
      former TEXT NOT NULL,
      at_ms INTEGER NOT NULL
    ) STRICT;

    -- A bill's totals, entered by hand. first and last: local days, 'YYYY-MM-DD'.
    CREATE TABLE bills (
      number INTEGER PRIMARY KEY,
      first TEXT NOT NULL,
      last TEXT NOT NULL,
      energy_mwh INTEGER,
      total_micro INTEGER,
      note TEXT,
      made_ms INTEGER NOT NULL,
      withdrawn_ms INTEGER,
      withdrawn_reason TEXT
    ) STRICT;

    -- Which file was imported when. id: the price series, or the meters in words.
    CREATE TABLE imports (
      number INTEGER PRIMARY KEY,
      what TEXT NOT NULL CHECK (what IN ('slot-prices', 'house')),
      id TEXT NOT NULL,
      file TEXT NOT NULL,
      sha256 TEXT NOT NULL,
      added INTEGER NOT NULL,
      changed INTEGER NOT NULL,
      same INTEGER NOT NULL,
      at_ms INTEGER NOT NULL
    ) STRICT;

    -- Changes of tariffs and shares with a date in the past. summary: JSON.
    CREATE TABLE repricings (
      number INTEGER PRIMARY KEY,
      at_ms INTEGER NOT NULL,
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL,
      summary TEXT NOT NULL
    ) STRICT;

    -- Local days that are over, added up, so that they need not be drawn from their entries again.
    -- A day takes two days at most: whoever looks for those that touch a span relies on it.
    CREATE TABLE sheets (
      number INTEGER PRIMARY KEY,
      from_ms INTEGER NOT NULL,
      to_ms INTEGER NOT NULL CHECK (to_ms > from_ms AND to_ms - from_ms <= 172800000),
      key TEXT NOT NULL,
      packed BLOB NOT NULL,
      UNIQUE (from_ms, key)
    ) STRICT;
    CREATE INDEX sheets_by_end ON sheets (to_ms, from_ms);

    -- The last values that were refused, as they came. feed and source: '' where it was not known.
    CREATE TABLE refused (
      number INTEGER PRIMARY KEY,
      at_ms INTEGER NOT NULL,
      reason TEXT NOT NULL,
      feed TEXT NOT NULL,
      source_kind TEXT NOT NULL,
      source TEXT NOT NULL,
      measure TEXT,
      topic TEXT NOT NULL,
      found TEXT NOT NULL
    ) STRICT;
    CREATE INDEX refused_by_time ON refused (at_ms);

    -- What keepers ask of the running daemon, and what it answered. request: JSON.
    CREATE TABLE requests (
      number INTEGER PRIMARY KEY AUTOINCREMENT,
      at_ms INTEGER NOT NULL,
      request TEXT NOT NULL,
      answered_ms INTEGER,
      done INTEGER,
      words TEXT
    ) STRICT;
    CREATE INDEX requests_waiting ON requests (number) WHERE answered_ms IS NULL;

    -- Of a plug with several counters, which one a note is about.
    ALTER TABLE notes ADD COLUMN register TEXT;

    -- All notes that ever were, of which the table notes keeps the newest.
    CREATE TABLE note_counts (
      plug TEXT NOT NULL,
      event TEXT NOT NULL,
      times INTEGER NOT NULL,
      last_ms INTEGER NOT NULL,
      PRIMARY KEY (plug, event)
    ) STRICT, WITHOUT ROWID;
    INSERT INTO note_counts SELECT plug, event, count(*), max(at_ms) FROM notes GROUP BY plug, event;
  `,
};
