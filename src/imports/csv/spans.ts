import { type Calendar, type Instant, MINUTE, type Span } from '../../units/index.ts';
import type { Problems } from '../refused.ts';
import type { TimeText } from './time-text.ts';
import { createWallClock } from './wall-clock.ts';

/** When a row begins and ends, as written. */
export interface RowTimes {
  readonly line: number;
  readonly start: TimeText;
  readonly end: TimeText | number | undefined;
}

/** Names of the columns, for messages. */
export interface TimeColumns {
  readonly start: string;
  readonly end: string | undefined;
}

/**
 * Turns the times of rows into spans, row by row; `to` is undefined where the file gives no end.
 * Local times that the clock shows twice are taken by their order: those before it is set back,
 * then those after. Where a file has them once, nothing says which are meant, and that is a problem.
 */
export function resolveSpans(
  rows: readonly RowTimes[],
  calendar: Calendar,
  columns: TimeColumns,
  problems: Problems,
): { readonly from: Instant; readonly to: Instant | undefined }[] {
  const clock = createWallClock(calendar);
  const complain = (line: number, column: string, message: string, remedy: string): void =>
    problems.add({
      code: 'AMP_CSV_TIME',
      line,
      place: `column ${column}`,
      message,
      remedy,
    });
  const starts = new Array<Instant>(rows.length);

  /** Rows that share one hour shown twice, as far as they stand together. */
  let fold: { readonly change: Instant; last: number; turned: boolean; line: number } | undefined;
  const leaveFold = (): void => {
    if (fold !== undefined && !fold.turned) {
      complain(
        fold.line,
        columns.start,
        `${calendar.zone} shows this time twice on that day, and the file has it once`,
        'write an offset behind the times, such as +01:00',
      );
    }
    fold = undefined;
  };

  for (const index of inTimeOrder(rows)) {
    const row = rows[index];
    if (row === undefined) continue;
    const { line, start } = row;
    if (start.offset !== undefined) {
      leaveFold();
      starts[index] = (start.wall - start.offset) as Instant;
      continue;
    }
    const [earlier, later] = clock.shows(start.wall);
    if (earlier === undefined) {
      leaveFold();
      complain(
        line,
        columns.start,
        `the clock of ${calendar.zone} skips this time on that day`,
        'write an offset behind the times, or name the zone that the file is in',
      );
    } else if (later === undefined) {
      leaveFold();
      starts[index] = earlier;
    } else {
      const change = changeBetween(calendar, earlier, later);
      if (fold?.change !== change) {
        leaveFold();
        fold = { change, last: start.wall, turned: false, line };
      } else if (start.wall <= fold.last) {
        fold.turned = true;
      }
      fold.last = start.wall;
      starts[index] = fold.turned ? later : earlier;
    }
  }
  leaveFold();
  problems.settle();

  return rows.map(({ line, end }, index) => {
    const from = starts[index] as Instant;
    if (end === undefined) return { from, to: undefined };
    if (typeof end === 'number') return { from, to: (from + end * MINUTE) as Instant };
    const ends =
      end.offset === undefined ? clock.ends(end.wall) : [(end.wall - end.offset) as Instant];
    const to = ends.sort((a, b) => a - b).find((at) => at > from);
    if (to === undefined) {
      complain(
        line,
        columns.end ?? 'end',
        ends.length === 0
          ? 'the clock skips this time on that day'
          : 'it does not come after the start',
        'check both times; each row runs from its start to its end',
      );
    }
    return { from, to };
  });
}

/** Indices from early to late: some utilities write the newest row first. */
function inTimeOrder(rows: readonly RowTimes[]): number[] {
  const indices = [...rows.keys()];
  const first = rows[0]?.start.wall ?? 0;
  const last = rows.at(-1)?.start.wall ?? 0;
  return first > last ? indices.reverse() : indices;
}

/** When the clock is set back that shows one time at both instants. */
function changeBetween(calendar: Calendar, earlier: Instant, later: Instant): Instant {
  const span: Span = { from: earlier, to: (later + 1) as Instant };
  return calendar.stretches(span).at(-1)?.from ?? later;
}
