import {
  type Document,
  isMap,
  isScalar,
  type LineCounter,
  type Node,
  type Pair,
  Scalar,
  visit,
  type YAMLError,
} from 'yaml';
import type { Path, ProblemCode } from './problem.ts';

/** Something the YAML itself forbids. */
export interface SyntaxFinding {
  readonly code: ProblemCode;
  readonly offset: number;
  readonly path: Path;
  readonly found: string;
  readonly allowed: string;
  readonly remedy?: string;
  /** How much it makes unreadable: the value at its path, or the whole section around it. */
  readonly garbles: 'nothing' | 'value' | 'section';
}

/** Keys are taken as written: `1` and `yes` are words here. */
export function keyText(key: unknown): string | undefined {
  if (key === null) return '';
  if (!isScalar(key)) return undefined;
  return key.source ?? (key.value === null ? '' : String(key.value));
}

/** In our own words: the parser's may quote the file, and with it a password. */
const SYNTAX: Readonly<Record<string, readonly [found: string, allowed: string]>> = {
  TAB_AS_INDENT: ['a tab', 'spaces for indentation'],
  BAD_INDENT: ['a line indented out of step', 'the indentation of the lines around it'],
  BLOCK_AS_IMPLICIT_KEY: ['a map where a value was begun', 'one `key: value` a line'],
  MULTILINE_IMPLICIT_KEY: ['a line that is no `key: value`', 'a key, a colon, a space and a value'],
  MISSING_CHAR: ['a quote, bracket, colon or comma missing', 'the missing character'],
  MULTIPLE_DOCS: ['a second document (---)', 'one document a file'],
  TAG_RESOLVE_FAILED: ['a tag (!)', 'plain values without tags'],
  BAD_ALIAS: ['an alias (*) that cannot be read', 'an alias with a name'],
  BAD_SCALAR_START: ['a value that begins with a reserved character', 'the value in quotes'],
  BAD_DQ_ESCAPE: ['a backslash sequence that YAML does not know', "the text in 'single quotes'"],
  MISSING_ANCHOR: ['an anchor (&) without a name', 'an anchor with a name'],
  MULTIPLE_ANCHORS: ['two anchors on one value', 'one anchor a value'],
  KEY_OVER_1024_CHARS: ['a key of more than 1024 characters', 'a shorter key'],
};

/** What the parser found wrong, in the order it was found. */
export function syntaxFindings(document: Document, lines: LineCounter): SyntaxFinding[] {
  return firstOfEachLine(
    [...document.errors, ...document.warnings].map((error) => syntaxFinding(error, document)),
    lines,
  );
}

/** A mistake often makes several out of the same line: the first one is the cause. */
function firstOfEachLine(findings: readonly SyntaxFinding[], lines: LineCounter): SyntaxFinding[] {
  const firsts = new Map<number, SyntaxFinding>();
  for (const finding of findings) {
    const { line } = lines.linePos(finding.offset);
    if (!firsts.has(line)) firsts.set(line, finding);
  }
  return [...firsts.values()];
}

/** Where the quote was opened that the parser misses at `end`, often the end of the file. */
function openedQuote(document: Document, end: number): number | undefined {
  let opened: number | undefined;
  visit(document, {
    Scalar(_, { type, range }) {
      const isQuoted = type === Scalar.QUOTE_DOUBLE || type === Scalar.QUOTE_SINGLE;
      if (isQuoted && range != null && range[0] < end && end <= range[1] + 1) opened = range[0];
    },
  });
  return opened;
}

function syntaxFinding(error: YAMLError, document: Document): SyntaxFinding {
  const quote =
    error.code === 'MISSING_CHAR' && /quote$/.test(error.message)
      ? openedQuote(document, error.pos[0])
      : undefined;
  if (quote !== undefined) {
    return {
      code: 'AMP_CONFIG_YAML',
      offset: quote,
      path: [],
      found: 'a quote that is never closed',
      allowed: 'the same quote at the end of the text',
      garbles: 'section',
    };
  }
  const [found, allowed] = SYNTAX[error.code] ?? [
    'something that is not YAML here',
    'valid YAML 1.2',
  ];
  return {
    code: 'AMP_CONFIG_YAML',
    offset: error.pos[0],
    path: [],
    found,
    allowed,
    garbles:
      error.code === 'TAG_RESOLVE_FAILED' || error.code === 'MULTIPLE_DOCS' ? 'nothing' : 'section',
  };
}

/** Sections from the key of the section that holds a garbling mistake up to the next section. */
export function garbledSections(
  document: Document,
  findings: readonly SyntaxFinding[],
): Set<string> {
  const garbled = new Set<string>();
  if (!isMap(document.contents)) return garbled;
  const sections = (document.contents.items as Pair[]).map((pair) => ({
    key: keyText(pair.key) ?? '',
    start: (pair.key as Node | null)?.range?.[0] ?? 0,
  }));
  for (const { garbles, offset } of findings) {
    if (garbles !== 'section') continue;
    const holder = sections.findLast(({ start }) => start < offset) ?? sections[0];
    if (holder !== undefined) garbled.add(holder.key);
    // A mistake found at the very start of a section was usually made at the end of the one before.
    const next = sections.find(({ start }) => start === offset);
    if (next !== undefined) garbled.add(next.key);
  }
  return garbled;
}
