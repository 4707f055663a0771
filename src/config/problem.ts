export type ProblemCode = `AMP_CONFIG_${string}`;

/** One key after another from the top of the file; list entries by number, from 0. */
export type Path = readonly (string | number)[];

/** Something wrong with the configuration file, and where. Never holds a resolved secret. */
export interface Problem {
  readonly code: ProblemCode;
  readonly file: string;
  /** From 1. */
  readonly line: number;
  /** From 1, in characters. */
  readonly column: number;
  /** As `formatPath` writes it; empty for the file as a whole. */
  readonly path: string;
  readonly found: string;
  readonly allowed: string;
  readonly remedy?: string;
}

/** A problem before it is placed: which part of the file it concerns, not yet which line. */
export interface Finding {
  readonly code: ProblemCode;
  readonly path: Path;
  /** Point at the key instead of its value. */
  readonly at?: 'key';
  /** What is there. Left out: the value as written in the file. */
  readonly found?: string;
  readonly allowed: string;
  readonly remedy?: string;
  /** The configuration runs all the same. */
  readonly warning?: true;
}

/** `feeds.wall.values[0].plug` */
export function formatPath(path: Path): string {
  let text = '';
  for (const step of path) {
    if (typeof step === 'number') text += `[${step}]`;
    else text += (text === '' ? '' : '.') + (/^[\w-]+$/.test(step) ? step : JSON.stringify(step));
  }
  return text;
}

/** By line, then column; the order of equals stays. */
export function inFileOrder(problems: readonly Problem[]): Problem[] {
  return [...problems].sort((a, b) => a.line - b.line || a.column - b.column);
}

/**
 * One line a problem, for a terminal:
 * `file:line:column  CODE  path: found X; allowed Y. Remedy.`
 */
export function formatProblems(problems: readonly Problem[]): string {
  return problems.map(formatProblem).join('\n');
}

function formatProblem(problem: Problem): string {
  const { file, line, column, code, path, found, allowed, remedy } = problem;
  const place = path === '' ? '' : `${path}: `;
  const advice = remedy === undefined ? '' : ` ${sentence(remedy)}`;
  const text = `${place}found ${found}; allowed ${allowed}.${advice}`;
  // A key or a value may hold what a terminal would obey.
  return `${file}:${line}:${column}  ${code}  ${text.replace(/\p{Cc}/gu, '\uFFFD')}`;
}

function sentence(text: string): string {
  const capital = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.?!]$/.test(capital) ? capital : `${capital}.`;
}
