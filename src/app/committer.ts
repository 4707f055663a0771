import type { Store } from '../storage/index.ts';
import { CodedError, HOUR, type Instant, type Logger } from '../units/index.ts';
import type { Group } from './group.ts';

/**
 * So many rows are not kept waiting for the group's time. More than what thousands of plugs touch in
 * a second: a meter's state is written with each commit, so that more commits cost more.
 */
const FULL_GROUP = 20_000;
/** How long a commit that failed is kept before it is tried again, ms. */
const RETRY_AFTER = 5_000;

/** Commits the group when its time has come, or when it is full; keeps it when the disk says no. */
export interface Committer {
  /** The store does not take what there is; it waits in memory. */
  readonly failing: boolean;
  /** Something was added to the group. */
  added(): void;
  /**
   * Commits when the last commit is an hour ago by the daemon's own clock: while weeks are replayed
   * that runs far ahead of the timer's, and who learns from the books must not find days missing.
   */
  keepUp(now: Instant): void;
  /** Commits now what there is. False when the store did not take it. */
  commit(): boolean;
  /** Commits what is left and stops the timer. */
  close(): void;
}

export function createCommitter(parts: {
  group: Group;
  store: Store;
  logger: Logger;
  groupTime: number;
  /** Called before each commit: puts the states of the moment into the group. */
  gather: () => void;
  /** Called after each commit with the slots that it touched. */
  committed: (slots: ReadonlySet<Instant>) => void;
  /** The store is beyond help: the process should end and be started anew. */
  onFatal: (error: unknown) => void;
}): Committer {
  const { group, store, logger } = parts;
  let timer: NodeJS.Timeout | undefined;
  let failing = false;
  let keptUpAt: Instant | undefined;

  function commit(): boolean {
    clearTimeout(timer);
    timer = undefined;
    parts.gather();
    if (group.empty) return true;
    try {
      store.commit(group.batch());
    } catch (error) {
      refused(error);
      return false;
    }
    if (failing) logger.info({}, 'the store takes readings again; nothing was lost');
    failing = false;
    const slots = group.slots();
    group.clear();
    parts.committed(slots);
    return true;
  }

  function refused(error: unknown): void {
    const code = error instanceof CodedError ? error.code : undefined;
    if (code !== 'AMP_STORE_FULL' && code !== 'AMP_STORE_IN_USE') {
      logger.error({ err: error, code }, 'the store cannot be written');
      parts.onFatal(error);
      return;
    }
    if (!failing)
      logger.error({ err: error, code }, 'the store takes nothing now; readings wait in memory');
    failing = true;
    group.compact();
    timer = setTimeout(commit, RETRY_AFTER);
  }

  return {
    get failing() {
      return failing;
    },
    added() {
      if (failing) return;
      if (group.size >= FULL_GROUP) commit();
      else timer ??= setTimeout(commit, parts.groupTime);
    },
    keepUp(now) {
      if (keptUpAt !== undefined && Math.abs(now - keptUpAt) < HOUR) return;
      keptUpAt = now;
      if (!failing) commit();
    },
    commit,
    close() {
      commit();
      clearTimeout(timer);
    },
  };
}
