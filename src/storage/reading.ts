import type { Alert, Delivery } from '../alerts/index.ts';
import type { BookStore, Correction, Entry, KeptBill } from '../books/index.ts';
import type { MeterNote } from '../metering/index.ts';
import type { ClimateSlot, Refusal } from '../readings/index.ts';
import type { Instant, Span } from '../units/index.ts';
import type { AlertFilter } from './alerts.ts';
import type { RefusalCount, StateRoom } from './batch.ts';
import { storeBytes } from './connect.ts';
import { storeFault } from './faults.ts';
import type { Import } from './imports.ts';
import type { NoteCount, NoteFilter } from './notes.ts';
import type { RefusedFilter } from './refused.ts';
import type { Repricing } from './repricings.ts';
import type { Answer, KeptRequest } from './requests.ts';
import type { Superseded } from './superseded.ts';
import type { Tables } from './tables.ts';

/** What can be read of a store. Everything throws the coded errors of faults.ts. */
export interface StoreReader extends BookStore {
  /**
   * Entries by slot, then device id, then how they are known. Read in chunks of a few milliseconds:
   * no long read holds up a checkpoint, and commits may happen between chunks. A caller that does
   * not await while iterating sees one state of the books, except where another process writes them.
   */
  entries(span: Span): Iterable<Entry>;
  states(room: StateRoom): Map<string, object>;
  /** Slots within the span, ordered by slot, probe, measure. */
  climate(span: Span, probe?: string): ClimateSlot[];
  /** The newest first, 200 unless the filter says otherwise. */
  notes(filter?: NoteFilter): MeterNote[];
  /** How often each plug's meter noted what, since the store was made; by plug, then event. */
  noteCounts(): NoteCount[];
  /** The most recent first. */
  refusals(): RefusalCount[];
  /** The last refused values themselves, newest first, 200 unless the filter says otherwise. */
  refused(filter?: RefusedFilter): Refusal[];
  /** The oldest first. */
  alerts(filter?: AlertFilter): Alert[];
  /** Waiting deliveries that are due at `dueBefore` or earlier, the earliest first. */
  deliveries(dueBefore: Instant): Delivery[];
  /** In the order they were made, withdrawn ones too. */
  allCorrections(): Correction[];
  /** In the order they were entered, withdrawn ones too. */
  bills(): KeptBill[];
  /** Newest first. */
  imports(): Import[];
  /** Newest first. */
  repricings(): Repricing[];
  /** Requests of keepers that wait for an answer, in the order they were asked. */
  requests(): KeptRequest[];
  /** Undefined while there is none. */
  answerTo(request: number): Answer | undefined;
  /** Former prices and intervals that others took the place of, newest first. */
  superseded(limit?: number): Superseded[];
  /** Bytes on disk, the write-ahead log included. */
  size(): number;
  /** Writes what is pending and lets go of the file. A running backup must have ended. */
  close(): void;
}

const DEFAULT_LIMIT = 200;

/** @param read runs a read so that all it sees belongs together, and explains what fails */
export function readingOf(
  file: string,
  tables: Tables,
  read: <T>(work: () => T) => T,
): Omit<StoreReader, 'keepSheets' | 'close'> {
  const { pending } = tables.journal;
  return {
    *entries(span) {
      try {
        tables.awaitedSheets.reading(span);
        yield* tables.entryScan.read(span, pending.entries, read);
      } catch (error) {
        throw storeFault(error, file);
      }
    },
    extent: () => read(() => tables.entryScan.extent(pending.entries)),
    corrections: (span) => read(() => tables.corrections.within(span)),
    slotPrices: (series, span) => read(() => tables.slotPrices.read(series, span)),
    house: (span) => read(() => tables.house.read(span)),
    edition: () => read(tables.edition.number),
    sheets: (day, key) =>
      read(() => tables.awaitedSheets.look(day, key, () => tables.sheets.read(day, key))),
    states: (room) => read(() => tables.states.read(room, pending.states)),
    climate: (span, probe) => read(() => tables.climate.read(span, probe, pending.climate)),
    notes: (filter = {}) => read(() => tables.notes.read(filter)),
    noteCounts: () => read(tables.notes.counts),
    refusals: () => read(tables.refusals.read),
    refused: (filter = {}) => read(() => tables.refused.read(filter)),
    alerts: (filter = {}) => read(() => tables.alerts.read(filter)),
    deliveries: (dueBefore) => read(() => tables.deliveries.due(dueBefore)),
    allCorrections: () => read(tables.corrections.all),
    bills: () => read(tables.bills.all),
    imports: () => read(tables.imports.all),
    repricings: () => read(tables.repricings.all),
    requests: () => read(tables.requests.waiting),
    answerTo: (request) => read(() => tables.requests.answerTo(request)),
    superseded: (limit = DEFAULT_LIMIT) => read(() => tables.superseded.read(limit)),
    size: () => storeBytes(file),
  };
}
