import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** The built program: what users run, and so what is measured. */
export const PROGRAM = join(ROOT, 'dist/main.js');

/** A module of the built program, such as 'app/group.js', with the types of its source. */
export const built = <T>(path: string): Promise<T> =>
  import(pathToFileURL(join(ROOT, 'dist', path)).href) as Promise<T>;

/** Flags of Node for the processes that are measured, such as --cpu-prof: see docs/measurements.md. */
export function nodeFlags(): string[] {
  const { AMPULLA_BENCH_NODE = '' } = process.env;
  return AMPULLA_BENCH_NODE.split(' ').filter((flag) => flag !== '');
}

/** What is wrong with the built program, if anything. */
export function staleness(): 'missing' | 'older than src' | undefined {
  const since = statSync(PROGRAM, { throwIfNoEntry: false })?.mtimeMs;
  if (since === undefined) return 'missing';
  const sources = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' });
  const isNewer = sources.some((path) => statSync(join(ROOT, 'src', path)).mtimeMs > since);
  return isNewer ? 'older than src' : undefined;
}
