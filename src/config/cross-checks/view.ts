import type { Path } from '../problem.ts';
import type { FileInput } from '../validate.ts';

/** T as far as it is there: every value may be missing because the file has it wrong. */
export type Loose<T> = T extends readonly (infer Entry)[]
  ? readonly (Loose<Entry> | undefined)[]
  : T extends object
    ? { readonly [Key in keyof T]?: Loose<T[Key]> | undefined }
    : T;

const SECTIONS = ['rooms', 'tanks', 'probes', 'plugs', 'devices', 'feeds', 'tariffs'] as const;

export type Section = (typeof SECTIONS)[number];

/** What cross checks see: the file without its wrong values, so that all mistakes show at once. */
export interface View {
  readonly file: Loose<FileInput>;
  /** The ids of a section, or undefined when the file is too broken to tell. */
  ids(section: Section): ReadonlySet<string> | undefined;
  /** Whether the file has something at `path`, right or wrong. */
  given(path: Path): boolean;
  /** Whether the text at `path` is a secret, of which not even a likeness may be told. */
  secret(path: Path): boolean;
}

export interface ViewParts {
  readonly value: unknown;
  readonly wrong: readonly Path[];
  readonly garbled: ReadonlySet<string>;
  readonly secrets: readonly Path[];
}

export function createView({ value, wrong, garbled, secrets }: ViewParts): View {
  const file = without(value, wrong);
  const hidden = new Set(secrets.map((path) => JSON.stringify(path)));
  // With a mistake in the YAML any section may have lost entries to it, or be lost altogether.
  const ids = garbled.size === 0 ? idsOf(value) : new Map<Section, ReadonlySet<string>>();
  return {
    file: file as Loose<FileInput>,
    ids: (section) => ids.get(section),
    given(path) {
      let here = value;
      for (const step of path) {
        if (typeof here !== 'object' || here === null) return false;
        here = (here as Record<string | number, unknown>)[step];
      }
      return here !== undefined;
    },
    secret: (path) => hidden.has(JSON.stringify(path)),
  };
}

/** Sections that are left out are empty; of one that is no map nothing can be told. */
function idsOf(value: unknown): Map<Section, ReadonlySet<string>> {
  const ids = new Map<Section, ReadonlySet<string>>();
  for (const section of SECTIONS) {
    const map = isMap(value) ? value[section] : undefined;
    if (map === undefined || isMap(map)) ids.set(section, new Set(Object.keys(map ?? {})));
  }
  return ids;
}

const isMap = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A copy in which what stands at the wrong paths is undefined. */
function without(value: unknown, wrong: readonly Path[]): unknown {
  const copy = structuredClone(value);
  if (wrong.some((path) => path.length === 0) || !isMap(copy)) return {};
  for (const path of wrong) {
    let here: unknown = copy;
    for (const step of path.slice(0, -1)) {
      if (typeof here !== 'object' || here === null) break;
      here = (here as Record<string | number, unknown>)[step];
    }
    const last = path.at(-1);
    if (typeof here === 'object' && here !== null && last !== undefined && last in here) {
      (here as Record<string | number, unknown>)[last] = undefined;
    }
  }
  return copy;
}

/** The entries of a record that are there, with their ids. */
export function entriesOf<T>(
  record: { readonly [id: string]: T | undefined } | undefined,
): [string, T][] {
  return Object.entries(record ?? {}).filter(
    (entry): entry is [string, T] => entry[1] !== undefined,
  );
}
