import { CodedError, printable } from '../units/index.ts';

/** One thing wrong with a file, and what to do about it. */
export interface FileProblem {
  readonly code: `AMP_${string}`;
  /** From 1; left out for what concerns the file as a whole. */
  readonly line?: number;
  /** 'column energy_kwh', 'IntervalBlock 2, IntervalReading 7' */
  readonly place?: string;
  readonly message: string;
  readonly remedy: string;
}

/**
 * A file of which nothing was taken. Its code is that of the first problem; a single problem gives
 * message and remedy as they are, several are told line by line.
 */
export class FileRefused extends CodedError {
  readonly problems: readonly FileProblem[];

  constructor(first: FileProblem, ...others: readonly FileProblem[]) {
    const problems = [first, ...others];
    super(
      first.code,
      others.length === 0
        ? `${whereOf(first)}: ${first.message}`
        : ['nothing was taken from the file:', ...problems.map(told)].join('\n'),
      { remedy: others.length === 0 ? first.remedy : 'mend what is listed, and import it again' },
    );
    this.name = 'FileRefused';
    this.problems = problems;
  }
}

const told = (problem: FileProblem): string =>
  `  ${whereOf(problem)}  ${problem.code}  ${problem.message}; ${problem.remedy}`;

/** 'line 12, column energy_kwh' */
function whereOf({ line, place }: FileProblem): string {
  const where = [line === undefined ? undefined : `line ${line}`, place];
  return where.filter((part) => part !== undefined).join(', ') || 'the file';
}

/** As many mistakes are told at once. */
const MOST_PROBLEMS = 20;

/** Gathers what is wrong with a file, so that a keeper mends it in one go. */
export interface Problems {
  /** @throws FileRefused with all of them once there are 20. */
  add(problem: FileProblem): void;
  /** @throws FileRefused when there are any, in the order of their lines. */
  settle(): void;
}

export function gatherProblems(): Problems {
  const problems: FileProblem[] = [];
  const settle = (): void => {
    const [first, ...others] = problems.sort((a, b) => (a.line ?? 0) - (b.line ?? 0));
    if (first !== undefined) throw new FileRefused(first, ...others);
  };
  return {
    add(problem) {
      problems.push(problem);
      if (problems.length >= MOST_PROBLEMS) settle();
    },
    settle,
  };
}

const LONGEST_QUOTE = 60;

/** Text from a file, fit for a message: printable, short, in quotes. */
export const quoted = (text: string): string =>
  `'${printable(text.slice(0, LONGEST_QUOTE))}${text.length > LONGEST_QUOTE ? '…' : ''}'`;
