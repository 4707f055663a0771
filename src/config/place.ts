import type { Finding, Path, Problem } from './problem.ts';
import { formatPath } from './problem.ts';
import { CONCEALED, isSecretByNature, withoutUserinfo } from './secrets.ts';
import type { SyntaxFinding } from './yaml-syntax.ts';
import type { Located, YamlTree } from './yaml-tree.ts';

const SHOWN_LENGTH = 80;

/** The value at `path`, or undefined when the file does not get that far. */
export function locate(root: Located | undefined, path: Path): Located | undefined {
  let here = root;
  for (const step of path) here = here?.parts.get(step);
  return here;
}

/** Puts line, column and the written value to a finding. */
export function placeFinding(file: string, tree: YamlTree, finding: Finding): Problem {
  const { code, path, allowed, remedy } = finding;
  const here = locate(tree.root, path);
  return {
    code,
    file,
    ...tree.place(offsetOf(tree.root, path, finding.at)),
    path: formatPath(path),
    found: finding.found ?? inWords(here, path),
    allowed,
    ...(remedy === undefined ? {} : { remedy }),
  };
}

export function placeSyntax(file: string, tree: YamlTree, finding: SyntaxFinding): Problem {
  const { code, path, found, allowed, remedy } = finding;
  return {
    code,
    file,
    ...tree.place(finding.offset),
    path: formatPath(path),
    found,
    allowed,
    ...(remedy === undefined ? {} : { remedy }),
  };
}

/** Of the value; of its key when asked; of the map that should hold it when it is missing. */
function offsetOf(root: Located | undefined, path: Path, at: 'key' | undefined): number {
  const here = locate(root, path);
  if (here !== undefined) return at === 'key' ? (here.keyStart ?? here.start) : here.start;
  let holder = root;
  for (const step of path) {
    const next = holder?.parts.get(step);
    if (next === undefined) break;
    holder = next;
  }
  return holder?.keyStart ?? holder?.start ?? 0;
}

/** A value as the file has it, short and on one line. References stay references. */
export function inWords(here: Located | undefined, path: Path): string {
  if (here === undefined) return 'nothing';
  if (here.kind === 'list') return 'a list';
  if (here.kind === 'map') return 'a map';
  if (here.scalar === null || here.scalar === undefined) return 'an empty value';
  if (isSecretByNature(path)) return CONCEALED;
  if (typeof here.scalar !== 'string') return String(here.scalar);
  return quoted(here.scalar);
}

/** Text in quotes, control characters escaped, cut, without users and passwords of addresses. */
export function quoted(text: string): string {
  const safe = withoutUserinfo(text);
  return JSON.stringify(safe.length > SHOWN_LENGTH ? `${safe.slice(0, SHOWN_LENGTH)}…` : safe);
}
