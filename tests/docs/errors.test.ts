import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** Codes as the source writes them, in quotes. */
function codesInSource(): Set<string> {
  const files = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' });
  const texts = files
    .filter((file) => /\.tsx?$/.test(file))
    .map((file) => readFileSync(join(ROOT, 'src', file), 'utf8'));
  return new Set(
    texts.flatMap((text) =>
      [...text.matchAll(/['"`](AMP_[A-Z0-9_]+)['"`]/g)].map(([, code]) => code ?? ''),
    ),
  );
}

const PAGE = readFileSync(join(ROOT, 'docs', 'errors.md'), 'utf8');
const ROWS = [...PAGE.matchAll(/^\| `(AMP_[A-Z0-9_]+)` \| (.+) \| (.+) \|$/gm)].map(
  ([, code, meaning, remedy]) => ({ code: code ?? '', meaning, remedy }),
);

describe('the page of error codes', () => {
  it('finds codes at all', () => {
    expect(codesInSource().size).toBeGreaterThan(40);
    expect(ROWS.length).toBeGreaterThan(40);
  });

  it('explains every code that the program has', () => {
    const explained = new Set(ROWS.map(({ code }) => code));
    expect([...codesInSource()].filter((code) => !explained.has(code))).toEqual([]);
  });

  it('explains no code that the program does not have', () => {
    const had = codesInSource();
    expect(ROWS.map(({ code }) => code).filter((code) => !had.has(code))).toEqual([]);
  });

  it('explains each code once, with a meaning and something to do', () => {
    const codes = ROWS.map(({ code }) => code);
    expect(codes.filter((code, index) => codes.indexOf(code) !== index)).toEqual([]);
    expect(ROWS.filter(({ meaning, remedy }) => !meaning?.trim() || !remedy?.trim())).toEqual([]);
    const mentioned = [...PAGE.matchAll(/^\| `AMP_/gm)].length;
    expect(ROWS).toHaveLength(mentioned);
  });
});
