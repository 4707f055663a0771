import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type LaboratoryOptions, type Outcome, runLaboratory } from './laboratory.ts';

/** Plays one seed with a store in the temporary folder, and leaves nothing of it. */
export function playSeed(options: Omit<LaboratoryOptions, 'file'>): Outcome {
  const folder = mkdtempSync(join(tmpdir(), 'laboratory-'));
  try {
    return runLaboratory({ ...options, file: join(folder, 'books.sqlite') });
  } finally {
    rmSync(folder, { recursive: true });
  }
}
