/** The unescaped tokens of a JSON Pointer. */
export type Path = readonly string[];

/** A JSON document that is built again and again at the same places. */
export interface Document {
  clear(): void;
  /** Puts `leaf` at the path of this number. */
  put(path: number, leaf: string | number): void;
  text(): string;
}

/** RFC 6901: '~1' is read before '~0', so that '~01' becomes '~1' and not '/'. */
export const pathOf = (pointer: string): Path =>
  pointer
    .split('/')
    .slice(1)
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));

/** An array index as RFC 6901 spells it, small enough for a list with holes. */
const INDEX = /^(0|[1-9]\d{0,2})$/;

/** A container whose steps are all indices is a list, any other an object. */
export function createDocument(paths: readonly Path[]): Document {
  const objects = new Set<string>();
  for (const path of paths) {
    path.forEach((key, depth) => {
      if (!INDEX.test(key)) objects.add(JSON.stringify(path.slice(0, depth)));
    });
  }
  const places = paths.map((path) =>
    path.map((key, depth) => ({
      key,
      isList: !objects.has(JSON.stringify(path.slice(0, depth))),
    })),
  );
  let root: unknown;

  function placed(
    here: unknown,
    steps: (typeof places)[number],
    depth: number,
    leaf: string | number,
  ): unknown {
    const step = steps[depth];
    if (step === undefined) return leaf;
    // No prototype, so that '__proto__' is a name like any other.
    const container = (here ?? (step.isList ? [] : Object.create(null))) as Record<string, unknown>;
    container[step.key] = placed(container[step.key], steps, depth + 1, leaf);
    return container;
  }

  return {
    clear() {
      root = undefined;
    },
    put(path, leaf) {
      root = placed(root, places[path] ?? [], 0, leaf);
    },
    text: () => JSON.stringify(root),
  };
}
