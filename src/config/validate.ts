import type { z } from 'zod';
import { explain, type Issue, optionsOf } from './explain.ts';
import { nearest } from './nearest.ts';
import { locate } from './place.ts';
import type { Finding, Path } from './problem.ts';
import { type Config, fileSchema } from './schema.ts';
import { keysAt } from './schema-keys.ts';
import type { Located } from './yaml-tree.ts';

export type FileInput = z.input<typeof fileSchema>;

export interface Validated {
  /** Defaults filled in; undefined when anything is wrong. */
  readonly config: Config | undefined;
  readonly findings: readonly Finding[];
  /** The paths at which the file has a wrong value. */
  readonly wrong: readonly Path[];
  /** What a room says of its own part as a whole: a cross check may say it better. */
  readonly remarks: readonly Finding[];
  /** The value, with mistyped kinds read as what they were meant to be. */
  readonly seen: unknown;
}

/** A bad id or a mistyped `kind` would hide what else is wrong in its map: look below that often. */
const ROUNDS = 10;

/** Holds the value against the schema and explains everything that is wrong with it. */
export function validate(value: unknown, root: Located | undefined): Validated {
  const first = fileSchema.safeParse(value);
  if (first.success)
    return { config: first.data, findings: [], wrong: [], remarks: [], seen: value };

  const { issues, seen } = allIssues(value, first.error.issues);
  const findings: Finding[] = [];
  const wrong: Path[] = [];
  const remarks: Finding[] = [];
  const judged = new Set<string>();
  for (const issue of issues) {
    const path = issue.path as Path;
    const isKeyIssue = issue.code === 'unrecognized_keys' || issue.code === 'invalid_key';
    const id = `${isKeyIssue ? 'key' : 'value'} ${JSON.stringify(path)}`;
    if (judged.has(id)) continue; // one thing at a time about one value
    judged.add(id);
    const explained = explain(issue, locate(root, path), (at) => keysAt(seen, at));
    if (issue.code === 'custom') {
      remarks.push(...explained);
      continue;
    }
    findings.push(...explained);
    // The map of an unknown kind has not been looked at: none of it can be relied on.
    if (issue.code === 'invalid_union' && !isOption(issue, seen)) wrong.push(path.slice(0, -1));
    else if (!isKeyIssue && !isOption(issue, seen)) wrong.push(path);
  }
  return { config: undefined, findings, wrong, remarks, seen };
}

/**
 * Every issue, also those that zod does not reach: it skips the value under a bad key and the map
 * of an unknown kind. Both get a stand-in and the file is looked at again.
 */
function allIssues(value: unknown, first: readonly Issue[]): { issues: Issue[]; seen: unknown } {
  const kept: Issue[] = [];
  const keyOf = new Map<string, string>();
  const restored = (issue: Issue): Issue => ({
    ...issue,
    path: issue.path.map((step) => keyOf.get(String(step)) ?? step),
  });
  const seen = structuredClone(value);
  const stood = structuredClone(value);
  let issues = first;
  for (let round = 0; round < ROUNDS; round++) {
    const masks = issues.filter((issue) => isMask(issue, stood));
    if (masks.length === 0) break;
    for (const issue of masks) {
      kept.push(restored(issue));
      if (issue.code === 'invalid_key') {
        const standIn = `stand-in-${keyOf.size}`;
        keyOf.set(standIn, String(issue.path.at(-1)));
        rename(parent(stood, issue.path), String(issue.path.at(-1)), standIn);
      } else {
        const meant = meantOption(issue, stood);
        set(stood, issue.path, meant);
        set(seen, restored(issue).path, meant);
      }
    }
    const again = fileSchema.safeParse(stood);
    issues = again.success ? [] : again.error.issues;
  }
  return { issues: [...kept, ...issues.map(restored)], seen };
}

const isMask = (issue: Issue, value: unknown): boolean =>
  issue.code === 'invalid_key' ||
  (issue.code === 'invalid_union' && meantOption(issue, value) !== undefined);

const isOption = (issue: Issue, seen: unknown): boolean =>
  optionsOf(issue).includes(String(at(seen, issue.path)));

function meantOption(issue: Issue, value: unknown): string | undefined {
  const found = at(value, issue.path);
  return typeof found === 'string' ? nearest(found, optionsOf(issue)) : undefined;
}

type Steps = readonly PropertyKey[];
type Holder = Record<PropertyKey, unknown>;

function at(value: unknown, path: Steps): unknown {
  let here = value;
  for (const step of path) {
    if (typeof here !== 'object' || here === null) return undefined;
    here = (here as Holder)[step];
  }
  return here;
}

const parent = (value: unknown, path: Steps): unknown => at(value, path.slice(0, -1));

function set(value: unknown, path: Steps, part: unknown): void {
  const holder = parent(value, path);
  const last = path.at(-1);
  if (typeof holder === 'object' && holder !== null && last !== undefined) {
    (holder as Holder)[last] = part;
  }
}

function rename(holder: unknown, key: string, standIn: string): void {
  if (typeof holder !== 'object' || holder === null) return;
  const map = holder as Holder;
  map[standIn] = map[key];
  delete map[key];
}
