import { join } from 'node:path';
import { afterAll } from 'vitest';
import {
  emptyBatch,
  openClerk,
  openStore,
  openStoreReader,
  type StoreReader,
} from '../../src/storage/index.ts';
import type { Instant } from '../../src/units/index.ts';
import { bookStoreContract, type OpenBooks } from './book-store.contract.ts';
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
