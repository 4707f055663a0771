import { printable } from '../../units/index.ts';

export interface Column {
  readonly title: string;
  /** Numbers stand at the right. */
  readonly right?: boolean;
}

/** Rows under their titles, in columns two blanks apart; text from outside is made printable. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const lines = [columns.map(({ title }) => title), ...rows].map((cells) => cells.map(printable));
  const widths = columns.map((_, column) =>
    Math.max(...lines.map((cells) => [...(cells[column] ?? '')].length)),
  );
  return lines
    .map((cells) =>
      columns
        .map(({ right }, column) => pad(cells[column] ?? '', widths[column] ?? 0, right === true))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

function pad(text: string, width: number, right: boolean): string {
  const blanks = ' '.repeat(Math.max(0, width - [...text].length));
  return right ? blanks + text : text + blanks;
}
