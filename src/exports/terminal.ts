import { printable } from '../units/index.ts';

/** No line is longer: a terminal of the old width shows all of it. */
const WIDTH = 80;

const widthOf = (text: string): number => [...text].length;

/** At most so many characters, the last one '…' where some were cut. */
export function short(text: string, most: number): string {
  const characters = [...printable(text)];
  return characters.length <= most
    ? characters.join('')
    : `${characters.slice(0, most - 1).join('')}…`;
}

/** Rows in columns two blanks apart: the first one to the left, the others to the right. */
export function inColumns(rows: readonly (readonly string[])[]): string[] {
  const columns = Math.max(0, ...rows.map((cells) => cells.length));
  const widths = Array.from({ length: columns }, (_, column) =>
    Math.max(...rows.map((cells) => widthOf(cells[column] ?? ''))),
  );
  const padded = (text: string, column: number): string => {
    const blanks = ' '.repeat((widths[column] ?? 0) - widthOf(text));
    return column === 0 ? text + blanks : blanks + text;
  };
  return rows.map((cells) => `  ${cells.map(padded).join('  ')}`.trimEnd());
}

/** Breaks a text into lines: the first one begins with `first`, the others with `rest`. */
export function wrapped(text: string, first: string, rest: string): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(' ')) {
    if (!empty && widthOf(line) + 1 + widthOf(word) > WIDTH) {
      lines.push(line);
      line = rest + word;
    } else {
      line += empty ? word : ` ${word}`;
    }
    empty = false;
  }
  return [...lines, line];
}
