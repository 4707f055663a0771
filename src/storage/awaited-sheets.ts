import type { Database } from 'better-sqlite3';
import { DAY, type Instant, type Span } from '../units/index.ts';

/**
 * The sheets that were asked for and not there, so that they are being drawn. They are kept only if
 * the day's entries were read and nothing can have changed since: another process may write while
 * they are drawn, and so may this one where it waits in between; sheets that missed it would be wrong
 * for good.
 */
export interface AwaitedSheets {
  /** Runs `read`, and awaits the sheets of the day where it finds none. */
  look(day: Instant, key: string, read: () => string | undefined): string | undefined;
  /** The entries of a span begin to be read. */
  reading(span: Span): void;
  /** This connection changed entries, those of slot `first` before all. */
  posted(first: Instant): void;
  /** This connection changed something else that sheets are drawn from. */
  changed(): void;
  /**
   * True, and only once, for sheets that are awaited and hold. Within a writing transaction, where no
   * other connection can write.
   */
  arrived(day: Span, key: string): boolean;
}

/** Asked for and never kept: such as those of yesterday, which are still being posted to. */
const REMEMBERED = 100;

export function awaitedSheetsIn(db: Database): AwaitedSheets {
  // Another number after every commit of another connection, and only then.
  const selectVersion = db.prepare<[], number>('PRAGMA data_version').pluck();
  let version = selectVersion.get();
  const awaited = new Map<string, Instant>();
  const nameOf = (day: Instant, key: string): string => `${day} ${key}`;

  let lastRead: Span | undefined;

  function forget(): void {
    awaited.clear();
    lastRead = undefined;
  }
  function forgetAfterOthers(): void {
    const now = selectVersion.get();
    if (now !== version) forget();
    version = now;
  }

  return {
    look(day, key, read) {
      forgetAfterOthers();
      const found = read();
      if (found !== undefined) return found;
      awaited.set(nameOf(day, key), day);
      if (awaited.size > REMEMBERED) {
        const [oldest = ''] = awaited.keys();
        awaited.delete(oldest);
      }
      return undefined;
    },
    reading(span) {
      forgetAfterOthers();
      lastRead = span;
    },
    posted(first) {
      if (lastRead !== undefined && first < lastRead.to) lastRead = undefined;
      for (const [name, day] of awaited) if (first < day + 2 * DAY) awaited.delete(name);
    },
    changed: forget,
    arrived(day, key) {
      forgetAfterOthers();
      const read = lastRead !== undefined && lastRead.from <= day.from && lastRead.to >= day.to;
      return awaited.delete(nameOf(day.from, key)) && read;
    },
  };
}
