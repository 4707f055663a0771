import type { Finding, Path } from './problem.ts';
import type { Resolver } from './secrets.ts';
import type { Located } from './yaml-tree.ts';

export interface TreeValue {
  readonly value: unknown;
  /** Where references were replaced by secrets. */
  readonly secrets: readonly Path[];
  /** References that lead nowhere, each at the path of its text. */
  readonly findings: readonly Finding[];
}

/** The plain value of a located tree, references in texts resolved. */
export function plainValue(root: Located | undefined, resolve: Resolver): TreeValue {
  const secrets: Path[] = [];
  const findings: Finding[] = [];

  const convert = (node: Located, path: Path): unknown => {
    if (node.kind === 'map') {
      const map: Record<string, unknown> = {};
      for (const [key, part] of node.parts) map[key] = convert(part, [...path, key]);
      return map;
    }
    if (node.kind === 'list') {
      return [...node.parts].map(([index, part]) => convert(part, [...path, index]));
    }
    if (typeof node.scalar !== 'string' || !node.scalar.includes('${')) return node.scalar;
    const outcome = resolve(node.scalar);
    if ('trouble' in outcome) {
      findings.push({ ...outcome.trouble, path });
      return node.scalar;
    }
    if (outcome.secret) secrets.push(path);
    return outcome.text;
  };

  return { value: root === undefined ? null : convert(root, []), secrets, findings };
}
