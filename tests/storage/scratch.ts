import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { CodedError } from '../../src/units/index.ts';

/** A new empty folder, and how to be rid of it. */
export function scratchFolder(): { readonly path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), 'ampulla-storage-'));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

/** The coded error that `work` throws; fails when it throws nothing or something else. */
export function faultOf(work: () => unknown): CodedError {
  try {
    work();
  } catch (error) {
    if (error instanceof CodedError) return error;
    throw error;
  }
  throw new Error('nothing was thrown');
}
