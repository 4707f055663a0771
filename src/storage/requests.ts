import type { Database } from 'better-sqlite3';
import type { Instant } from '../units/index.ts';

/** What a keeper asks of the running daemon through a command. */
export interface KeptRequest {
  /** 1, 2, 3 … in the order they were asked. */
  readonly number: number;
  readonly at: Instant;
  /** Plain JSON; what it means is between the command and the daemon. */
  readonly request: unknown;
}

/** What became of a request, in words for the keeper. */
export interface Answer {
  readonly number: number;
  readonly at: Instant;
  readonly done: boolean;
  readonly words: string;
}

export interface RequestTable {
  /** @returns its number */
  add(request: object, at: Instant): number;
  /** Those without an answer, in the order they were asked. */
  waiting(): KeptRequest[];
  answer(answers: readonly Answer[]): void;
  answerTo(number: number): Answer | undefined;
}

/** Of interest for a moment only. */
const KEPT_REQUESTS = 1_000;

type Row = [number: number, at: number, request: string];
type AnswerRow = [number: number, at: number, done: number, words: string];

export function requestsIn(db: Database): RequestTable {
  const insert = db.prepare<[number, string]>(
    'INSERT INTO requests (at_ms, request) VALUES (?, ?)',
  );
  const trim = db.prepare<[number]>(
    'DELETE FROM requests WHERE number <= ? AND answered_ms IS NOT NULL',
  );
  const select = db
    .prepare<[], Row>(
      'SELECT number, at_ms, request FROM requests WHERE answered_ms IS NULL ORDER BY number',
    )
    .raw();
  const answerOne = db.prepare<[number, number, string, number]>(
    'UPDATE requests SET answered_ms = ?, done = ?, words = ? WHERE number = ?',
  );
  const selectAnswer = db
    .prepare<[number], AnswerRow>(
      'SELECT number, answered_ms, done, words FROM requests WHERE number = ? AND answered_ms IS NOT NULL',
    )
    .raw();

  return {
    add(request, at) {
      const number = Number(insert.run(at, JSON.stringify(request)).lastInsertRowid);
      if (number > KEPT_REQUESTS) trim.run(number - KEPT_REQUESTS);
      return number;
    },
    waiting: () =>
      select.all().map(([number, at, request]) => ({
        number,
        at: at as Instant,
        request: JSON.parse(request) as unknown,
      })),
    answer(answers) {
      for (const { number, at, done, words } of answers) {
        answerOne.run(at, done ? 1 : 0, words, number);
      }
    },
    answerTo(number) {
      const row = selectAnswer.get(number);
      return row && { number: row[0], at: row[1] as Instant, done: row[2] === 1, words: row[3] };
    },
  };
}
