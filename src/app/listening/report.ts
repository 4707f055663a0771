import type { Guess } from '../../readings/index.ts';
import { printable } from '../../units/index.ts';

const MOST_TOPICS = 200;

/** What was heard, topic by topic, for people. `marked`: say which topics no feed reads. */
export function listenReport(guesses: readonly Guess[], marked: boolean): string {
  const topics = new Map<string, Guess[]>();
  for (const guess of guesses) {
    const known = topics.get(guess.topic);
    if (known === undefined) topics.set(guess.topic, [guess]);
    else known.push(guess);
  }
  const inOrder = [...topics].sort(([a], [b]) => (a < b ? -1 : 1));
  const lines = inOrder
    .slice(0, MOST_TOPICS)
    .flatMap(([topic, numbers]) => [
      `${printable(topic)}${marked ? claim(numbers) : ''}`,
      ...columns(numbers.map(row)),
    ]);
  if (inOrder.length > MOST_TOPICS) {
    lines.push(`… and ${inOrder.length - MOST_TOPICS} more topics; --topic watches fewer`);
  }
  return lines.join('\n');
}

function claim([first]: readonly Guess[]): string {
  const feeds = first?.claimedBy ?? [];
  return feeds.length === 0 ? '  ← no feed reads it' : `  (feed ${feeds.join(', ')})`;
}

const row = (guess: Guess): string[] => [
  guess.at === undefined ? '(bare)' : printable(guess.at) || "''",
  guess.last === undefined ? '' : String(guess.last),
  meaning(guess),
];

function meaning({ is, what, unit, confidence, reasons, restarts }: Guess): string {
  const because = `(${printable(reasons.join(', '))})`;
  if (is === 'unclear') return `unclear ${because}`;
  if (is === 'not-billed') return `${what ?? 'not billed'} ${because}`;
  const measured = unit === undefined ? is : `${is} in ${unit}`;
  return `${restarts === 'at-midnight' ? 'daily ' : ''}${measured}: ${confidence} ${because}`;
}

function columns(rows: readonly string[][]): string[] {
  const width = (column: number) => Math.max(...rows.map((cells) => cells[column]?.length ?? 0));
  const [place, value] = [width(0), width(1)];
  return rows.map(
    ([at = '', last = '', means = '']) =>
      `  ${at.padEnd(place)}  ${last.padStart(value)}  ${means}`,
  );
}
