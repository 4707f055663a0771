/** One reference token, unescaped, with the array index it would mean (-1 when it is none). */
interface Step {
  readonly key: string;
  readonly index: number;
}

/** A JSON Pointer, split and unescaped. */
export type Path = readonly Step[];

const INDEX = /^(0|[1-9]\d{0,8})$/;

/** Splits a JSON Pointer (RFC 6901) whose syntax has been checked; '' is the whole document. */
export function compilePointer(pointer: string): Path {
  return pointer
    .split('/')
    .slice(1)
    .map((token) => {
      // '~1' first, so that '~01' becomes '~1' and not '/' (RFC 6901 §4).
      const key = token.replaceAll('~1', '/').replaceAll('~0', '~');
      return { key, index: INDEX.test(key) ? Number(key) : -1 };
    });
}

/** The JSON Pointer of a path of keys and indices. */
export const pointerOf = (keys: readonly (string | number)[]): string =>
  keys.map((key) => `/${String(key).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

/** What stands at `path` in a parsed JSON document; undefined where it leads nowhere. */
export function follow(document: unknown, path: Path): unknown {
  let here = document;
  for (const step of path) {
    if (typeof here !== 'object' || here === null) return undefined;
    if (Array.isArray(here)) {
      here = here[step.index];
    } else {
      // Inherited names such as 'constructor' are no members of a payload.
      here = Object.hasOwn(here, step.key)
        ? (here as Record<string, unknown>)[step.key]
        : undefined;
    }
  }
  return here;
}
