import {
  type Alias,
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  parseDocument,
  type YAMLMap,
} from 'yaml';
import type { Path, ProblemCode } from './problem.ts';
import { garbledSections, keyText, type SyntaxFinding, syntaxFindings } from './yaml-syntax.ts';

/** A value of the file with the places of its key and of itself, in characters from the start. */
export interface Located {
  /** Plain text, number, boolean or null; undefined for maps and lists, which have `parts`. */
  readonly scalar: string | number | boolean | null | undefined;
  readonly kind: 'map' | 'list' | 'scalar';
  readonly parts: ReadonlyMap<string | number, Located>;
  readonly keyStart: number | undefined;
  readonly start: number;
}

export interface YamlTree {
  /** Undefined when nothing could be made of the text. */
  readonly root: Located | undefined;
  readonly findings: readonly SyntaxFinding[];
  /** Top-level keys whose value holds a garbling mistake: not to be judged further. */
  readonly garbled: ReadonlySet<string>;
  /** Line and column, both from 1. */
  place(offset: number): { line: number; column: number };
}

/** How often anchors may be repeated, and how much the whole may grow by it. */
const ALIAS_LIMIT = 100;
const VALUE_LIMIT = 500_000;
const DEPTH_LIMIT = 64;

/** Reads YAML 1.2 (core schema, no merge keys, no tags of its own). Never throws. */
export function readYaml(text: string): YamlTree {
  const lines = new LineCounter();
  const document = parseDocument(text, {
    lineCounter: lines,
    version: '1.2',
    schema: 'core',
    merge: false,
    prettyErrors: false,
    // Told by the walk below, with the place of the first one.
    uniqueKeys: false,
  });
  const findings = syntaxFindings(document, lines);
  const walk = new Walk(document, lines);
  const root = document.contents === null ? undefined : walk.node(document.contents, undefined, []);
  findings.push(...walk.findings);
  return {
    root,
    findings,
    garbled: garbledSections(document, findings),
    place: (offset) => {
      const { line, col } = lines.linePos(offset);
      return { line: Math.max(line, 1), column: Math.max(col, 1) };
    },
  };
}

/** Walks the parsed document once, following aliases, and notes what no configuration may hold. */
class Walk {
  readonly findings: SyntaxFinding[] = [];
  readonly #document: Document;
  readonly #lines: LineCounter;
  readonly #open = new Set<Node>();
  #values = 0;
  #aliases = 0;

  constructor(document: Document, lines: LineCounter) {
    this.#document = document;
    this.#lines = lines;
  }

  node(node: unknown, keyStart: number | undefined, path: Path): Located {
    if (node === null || node === undefined) return leaf(null, keyStart, keyStart ?? 0);
    if (isAlias(node)) return this.#alias(node, keyStart, path);
    const start = (node as Node).range?.[0] ?? keyStart ?? 0;
    if (!this.#affordable(start, path)) return leaf(null, keyStart, start);
    if (isMap(node)) return this.#map(node, keyStart, start, path);
    if (isSeq(node)) {
      const parts = new Map<number, Located>();
      node.items.forEach((item, index) => {
        parts.set(index, this.node(item, undefined, [...path, index]));
      });
      return { kind: 'list', scalar: undefined, parts, keyStart, start };
    }
    return leaf(isScalar(node) ? plainScalar(node.value) : null, keyStart, start);
  }

  #map(node: YAMLMap, keyStart: number | undefined, start: number, path: Path): Located {
    const parts = new Map<string, Located>();
    const firsts = new Map<string, number>();
    for (const pair of node.items as Pair[]) {
      const place = (pair.key as Node | null)?.range?.[0] ?? start;
      const key = keyText(pair.key);
      if (key === undefined) {
        this.#note('AMP_CONFIG_YAML', place, path, 'a list or map as a key', 'a word as a key');
        continue;
      }
      if (key === '__proto__') {
        this.#note('AMP_CONFIG_UNKNOWN_KEY', place, path, 'the key "__proto__"', 'another name');
        continue;
      }
      const first = firsts.get(key);
      if (first !== undefined) {
        const line = this.#lines.linePos(first).line;
        this.#note(
          'AMP_CONFIG_DUPLICATE_KEY',
          place,
          [...path, key],
          `the key ${JSON.stringify(key)} a second time (first in line ${line})`,
          'each key once in a map',
          'rename or remove one of the two',
        );
        continue;
      }
      firsts.set(key, place);
      parts.set(key, this.node(pair.value, place, [...path, key]));
    }
    return { kind: 'map', scalar: undefined, parts, keyStart, start };
  }

  #alias(alias: Alias, keyStart: number | undefined, path: Path): Located {
    const start = alias.range?.[0] ?? keyStart ?? 0;
    const nothing = leaf(null, keyStart, start);
    const target = alias.resolve(this.#document);
    if (target === undefined) {
      this.#note(
        'AMP_CONFIG_YAML',
        start,
        path,
        'an alias (*) that has no anchor',
        'an anchor (&) of the same name above it',
        'in quotes a leading * is text',
        'value',
      );
      return nothing;
    }
    if (this.#open.has(target)) {
      this.#note('AMP_CONFIG_ALIASES', start, path, 'an alias inside its own anchor', 'a tree');
      return nothing;
    }
    this.#aliases += 1;
    if (this.#aliases > ALIAS_LIMIT) {
      this.#tooManyAliases(start);
      return nothing;
    }
    this.#open.add(target);
    const located = this.node(target, keyStart, path);
    this.#open.delete(target);
    return located;
  }

  #affordable(start: number, path: Path): boolean {
    if (path.length > DEPTH_LIMIT) {
      this.#note(
        'AMP_CONFIG_ALIASES',
        start,
        [],
        `maps or lists nested more than ${DEPTH_LIMIT} deep`,
        'a flatter file',
      );
      return false;
    }
    this.#values += 1;
    if (this.#values <= VALUE_LIMIT) return true;
    this.#tooManyAliases(start);
    return false;
  }

  #tooManyAliases(start: number): void {
    if (this.findings.some(({ code }) => code === 'AMP_CONFIG_ALIASES')) return;
    this.#note(
      'AMP_CONFIG_ALIASES',
      start,
      [],
      'aliases that repeat too much of the file',
      `up to ${ALIAS_LIMIT} aliases and ${VALUE_LIMIT} values in all`,
      'write the values out',
    );
  }

  #note(
    code: ProblemCode,
    offset: number,
    path: Path,
    found: string,
    allowed: string,
    remedy?: string,
    garbles: SyntaxFinding['garbles'] = 'nothing',
  ): void {
    this.findings.push({
      code,
      offset,
      path,
      found,
      allowed,
      garbles,
      ...(remedy === undefined ? {} : { remedy }),
    });
  }
}

function leaf(scalar: Located['scalar'], keyStart: number | undefined, start: number): Located {
  return { kind: 'scalar', scalar, parts: new Map(), keyStart, start };
}

function plainScalar(value: unknown): string | number | boolean | null {
  if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean') {
    return value;
  }
  return value === null || value === undefined ? null : String(value);
}
