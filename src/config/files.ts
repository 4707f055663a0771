import { readFileSync, statSync } from 'node:fs';
import { dirname, isAbsolute, resolve } from 'node:path';

/** What was read, or why not, in words. */
export type FileText = { readonly text: string } | { readonly trouble: string };

/** A path written in the configuration file: beside that file unless absolute. */
export function besideConfig(configFile: string, path: string): string {
  return isAbsolute(path) ? path : resolve(dirname(configFile), path);
}

/** Reads a regular UTF-8 file of at most `limit` bytes. Never throws. */
export function readText(path: string, limit: number): FileText {
  try {
    const { size } = regular(path);
    if (size > limit) return { trouble: `a file of ${size} bytes, over the limit of ${limit}` };
    const bytes = readFileSync(path);
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch (error) {
    return { trouble: inWords(error) };
  }
}

/** A pipe or a device would never end. */
function regular(path: string): { size: number } {
  const stats = statSync(path);
  if (!stats.isFile()) throw new Error('something that is not a regular file');
  return stats;
}

const KNOWN: Readonly<Record<string, string>> = {
  ENOENT: 'no such file',
  EACCES: 'a file that this user may not read',
  EPERM: 'a file that this user may not read',
  ENOTDIR: 'no such folder',
  ERR_ENCODING_INVALID_ENCODED_DATA: 'bytes that are not UTF-8 text',
};

function inWords(error: unknown): string {
  if (!(error instanceof Error)) return 'a file that cannot be read';
  const code = 'code' in error ? String(error.code) : '';
  return KNOWN[code] ?? (code === '' ? error.message : `a file that cannot be read (${code})`);
}
