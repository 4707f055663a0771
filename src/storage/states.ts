import type { Database } from 'better-sqlite3';
import type { SavedState, StateRoom } from './batch.ts';

export interface StateTable {
  save(states: readonly SavedState[]): void;
  read(room: StateRoom): Map<string, object>;
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
    save(states) {
      for (const { room, key, state } of states) {
        if (state === null) remove.run(room, key);
        else put.run(room, key, JSON.stringify(state));
      }
    },
    read: (room) =>
      new Map(select.all(room).map(([key, state]) => [key, JSON.parse(state) as object])),
  };
}
