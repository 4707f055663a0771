import { formatPath, type Path } from './problem.ts';
import type { Config } from './schema.ts';

/** One difference between two configurations. Values are left out: they may be secret. */
export interface ConfigChange {
  /** As `formatPath` writes it, such as `devices.discus-heater.nameplate_w`. */
  readonly path: string;
  readonly change: 'added' | 'removed' | 'changed';
  /** It cannot take effect in a running daemon. */
  readonly restart: boolean;
}

/** What is opened or fixed at the start: connections, files, ports, and what the books rest on. */
const FIXED_AT_START: readonly Path[] = [
  ['site', 'id'],
  ['site', 'time_zone'],
  ['broker'],
  ['publish'],
  ['store'],
  ['web'],
  ['log'],
  ['notify', 'heartbeat'],
];

/** Every difference, in the order of the file's sections; an entry added or removed is one. */
export function compareConfigs(before: Config, after: Config): ConfigChange[] {
  return differences(before, after, []).map(({ path, change }) => ({
    path: formatPath(path),
    change,
    restart: FIXED_AT_START.some((fixed) => fixed.every((step, depth) => path[depth] === step)),
  }));
}

interface Difference {
  readonly path: Path;
  readonly change: ConfigChange['change'];
}

function differences(before: unknown, after: unknown, path: Path): Difference[] {
  if (Object.is(before, after)) return [];
  if (before === undefined) return [{ path, change: 'added' }];
  if (after === undefined) return [{ path, change: 'removed' }];
  if (Array.isArray(before) && Array.isArray(after) && before.length !== after.length) {
    return [{ path, change: 'changed' }];
  }
  if (!isTree(before) || !isTree(after) || Array.isArray(before) !== Array.isArray(after)) {
    return [{ path, change: 'changed' }];
  }
  const keys = new Set([...Object.keys(before), ...Object.keys(after)]);
  return [...keys].flatMap((key) =>
    differences(before[key], after[key], [...path, Array.isArray(before) ? Number(key) : key]),
  );
}

const isTree = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null;
