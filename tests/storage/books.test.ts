import { join } from 'node:path';
import { afterAll } from 'vitest';
import type { BookStore } from '../../src/books/index.ts';
import {
  type Clerk,
  emptyBatch,
  openClerk,
  openStore,
  openStoreReader,
  type Store,
  type StoreReader,
} from '../../src/storage/index.ts';
import type { Instant } from '../../src/units/index.ts';
import { memoryStore } from '../books/fish-room.ts';
import { bookRecordsContract, type OpenRecords } from './book-records.contract.ts';
import { bookStoreContract, type OpenBooks } from './book-store.contract.ts';
import { noon } from './records.ts';
import { scratchFolder } from './scratch.ts';

const folder = scratchFolder();
afterAll(folder.remove);
let files = 0;
const nextFile = (): string => {
  files += 1;
  return join(folder.path, `books-${files}.db`);
};

function openBooks(afterPosting: (store: ReturnType<typeof openStore>) => void): OpenBooks {
  const store = openStore({ file: nextFile() });
  return {
    store,
    post(postings) {
      store.commit({ ...emptyBatch, postings });
      afterPosting(store);
    },
    close: store.close,
  };
}

bookStoreContract('SQLite with a journal', () => openBooks(() => {}));

bookStoreContract('SQLite with everything in its tables', () =>
  openBooks((store) => store.tidy(0 as Instant)),
);

bookStoreContract('SQLite read by a clerk beside its writer', () => {
  const file = nextFile();
  const writer = openStore({ file });
  const clerk = openClerk({ file });
  return {
    store: clerk,
    post: (postings) => writer.commit({ ...emptyBatch, postings }),
    close() {
      clerk.close();
      writer.close();
    },
  };
});

bookStoreContract('SQLite read beside its writer', () => {
  const file = nextFile();
  const writer = openStore({ file });
  const reading = <T>(read: (reader: StoreReader) => T): T => {
    const reader = openStoreReader({ file });
    try {
      return read(reader);
    } finally {
      reader.close();
    }
  };
  return {
    store: {
      entries: (span) => reading((reader) => [...reader.entries(span)]),
      extent: () => reading((reader) => reader.extent()),
      corrections: (span) => reading((reader) => reader.corrections(span)),
      slotPrices: (series, span) => reading((reader) => reader.slotPrices(series, span)),
      house: (span) => reading((reader) => reader.house(span)),
      edition: () => reading((reader) => reader.edition()),
      sheets: (day, key) => reading((reader) => reader.sheets(day, key)),
      keepSheets: writer.keepSheets,
    },
    post: (postings) => writer.commit({ ...emptyBatch, postings }),
    close: writer.close,
  };
});

const records = (store: BookStore, writer: Store, clerk: Clerk): OpenRecords => ({
  store,
  post: (postings) => writer.commit({ ...emptyBatch, postings }),
  correct: (one) => void clerk.addCorrection(one),
  publish: (prices) => void clerk.addSlotPrices(prices, noon),
  meterHouse: (intervals) => void clerk.addHouse(intervals, 'meter.csv', noon),
  close() {
    clerk.close();
    writer.close();
  },
});

bookRecordsContract('SQLite read by the daemon, written by a clerk', () => {
  const file = nextFile();
  const writer = openStore({ file });
  return records(writer, writer, openClerk({ file }));
});

bookRecordsContract('SQLite read and written by a clerk beside the daemon', () => {
  const file = nextFile();
  const writer = openStore({ file });
  const clerk = openClerk({ file });
  return records(clerk, writer, clerk);
});

bookRecordsContract('SQLite read by the daemon, to which prices come by itself', () => {
  const file = nextFile();
  const writer = openStore({ file });
  return {
    ...records(writer, writer, openClerk({ file })),
    publish: (prices) => void writer.addSlotPrices(prices, noon),
  };
});

bookRecordsContract('the memory that tests of the books use', () => {
  const store = memoryStore();
  let made = 0;
  return {
    store,
    post: (postings) => store.book(...postings),
    correct(one) {
      made += 1;
      store.correct({ ...one, number: made, withdrawn: undefined });
    },
    publish: (prices) => store.publish(...prices),
    meterHouse: (intervals) => store.meterHouse(...intervals),
    close() {},
  };
});
