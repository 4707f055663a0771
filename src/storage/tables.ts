import type { Database } from 'better-sqlite3';
import { alertsIn } from './alerts.ts';
import { awaitedSheetsIn } from './awaited-sheets.ts';
import { billsIn } from './bills.ts';
import { climateIn } from './climate.ts';
import { correctionsIn } from './corrections.ts';
import { deliveriesIn } from './deliveries.ts';
import { editionIn } from './edition.ts';
import { entriesIn } from './entries.ts';
import { scanEntries } from './entry-scan.ts';
import { houseIn } from './house.ts';
import { importsIn } from './imports.ts';
import { journalIn } from './journal.ts';
import { namesIn } from './names.ts';
import { notesIn } from './notes.ts';
import { refusalsIn } from './refusals.ts';
import { refusedIn } from './refused.ts';
import { repricingsIn } from './repricings.ts';
import { requestsIn } from './requests.ts';
import { sheetsIn } from './sheets.ts';
import { slotPricesIn } from './slot-prices.ts';
import { statesIn } from './states.ts';
import { supersededIn } from './superseded.ts';

/** All tables of one connection, and what memory holds of them. */
export type Tables = ReturnType<typeof tablesIn>;

export function tablesIn(db: Database) {
  const names = namesIn(db);
  const entries = entriesIn(db, names);
  const climate = climateIn(db, names);
  const states = statesIn(db);
  const superseded = supersededIn(db);
  return {
    names,
    entries,
    entryScan: scanEntries(db, names),
    climate,
    states,
    journal: journalIn(db, (changes) => {
      entries.write(changes.entries);
      climate.write(changes.climate);
      states.write(changes.states);
    }),
    notes: notesIn(db),
    refusals: refusalsIn(db),
    refused: refusedIn(db),
    alerts: alertsIn(db),
    deliveries: deliveriesIn(db),
    corrections: correctionsIn(db),
    slotPrices: slotPricesIn(db, superseded),
    house: houseIn(db, superseded),
    bills: billsIn(db),
    imports: importsIn(db),
    repricings: repricingsIn(db),
    requests: requestsIn(db),
    superseded,
    edition: editionIn(db),
    sheets: sheetsIn(db),
    awaitedSheets: awaitedSheetsIn(db),
  };
}
