import type { Database } from 'better-sqlite3';
import type { SavedState, StateRoom } from './batch.ts';
import { type StateText, stateKey } from './pending.ts';

type Texts = Map<string, StateText>;

export interface StateTable {
  /** Each state as text at once: its owner may change the object after the commit. */
  texts(states: readonly SavedState[]): Texts;
  write(texts: Texts): void;
  /** Ordered by key where nothing is pending. */
  read(room: StateRoom, pending: Texts): Map<string, object>;
}

export function statesIn(db: Database): StateTable {
  const put = db.prepare<[string, string, string]>(`
    INSERT INTO states (room, key, state) VALUES (?, ?, ?)
    ON CONFLICT DO UPDATE SET state = excluded.state`);
  const remove = db.prepare<[string, string]>('DELETE FROM states WHERE room = ? AND key = ?');
  const select = db
    .prepare<[string], [string, string]>(
      'SELECT key, state FROM states WHERE room = ? ORDER BY key',
    )
    .raw();

  return {
    texts(states) {
      const texts: Texts = new Map();
      for (const saved of states) {
        const { room, key, state } = saved;
        texts.set(stateKey(saved), {
          room,
          key,
          text: state === null ? null : JSON.stringify(state),
        });
      }
      return texts;
    },
    write(texts) {
      for (const { room, key, text } of texts.values()) {
        if (text === null) remove.run(room, key);
        else put.run(room, key, text);
      }
    },
    read(room, pending) {
      const texts = new Map(select.all(room));
      for (const { room: owner, key, text } of pending.values()) {
        if (owner !== room) continue;
        if (text === null) texts.delete(key);
        else texts.set(key, text);
      }
      return new Map([...texts].map(([key, text]) => [key, JSON.parse(text) as object]));
    },
  };
}
