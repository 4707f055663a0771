import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const read = (file: string): string => readFileSync(join(ROOT, file), 'utf8');
const GUIDES = [
  'README.md',
  'DEVELOPERS.md',
  'docs/bills.md',
  'docs/decisions.md',
  'docs/exports.md',
  'docs/imports.md',
  'docs/measurements.md',
  'docs/notifications.md',
];
const manifest = JSON.parse(read('package.json')) as { scripts: Record<string, string> };
const help = read('src/main.ts');

const all = (text: string, pattern: RegExp): string[] =>
  [...text.matchAll(pattern)].map((match) => match[1] ?? '');

describe.each(GUIDES)('%s says nothing that is not so', (guide) => {
  const text = read(guide);

  it('names only files and folders that are there', () => {
    const named = [
      ...all(text, /\]\(([^)#:]+)\)/g).map((path) => join(dirname(guide), path)),
      ...all(text, /`((?:\.ci|src|tests|config|docs|deploy)\/[^`\s*]*)`/g),
      ...all(text, /(?<![\w./-])((?:src|tests|config|deploy)\/[\w./-]+\.\w+)/g),
    ];
    expect(named.filter((path) => !existsSync(join(ROOT, path)))).toEqual([]);
  });

  it('names only scripts that npm knows', () => {
    const scripts = all(text, /npm run ([\w:-]+)/g);
    expect(scripts.filter((script) => !(script in manifest.scripts))).toEqual([]);
  });

  it('names only commands and options that the program has', () => {
    const commands = all(
      text,
      /ampulla (start|check|listen|demo|[a-z]+) (?:FILE|--|ampulla\.yaml)/g,
    );
    const options = all(text, /(?:ampulla [a-z]+|npm run demo --)[^\n`]*?(--[a-z-]+)/g);
    expect(commands.filter((name) => !help.includes(`ampulla ${name}`))).toEqual([]);
    expect(options.filter((name) => !help.includes(name))).toEqual([]);
  });

  it('names only error codes that are documented', () => {
    const codes = all(text, /\b(AMP_[A-Z_]+)\b/g);
    expect(codes.filter((code) => !read('docs/errors.md').includes(code))).toEqual([]);
  });
});

it('the README lists every command of the program, and every alert', () => {
  const readme = read('README.md');
  const commands = all(help, /^ {2}(ampulla [a-z]+)/gm);
  expect(commands.length).toBeGreaterThan(3);
  expect(commands.filter((command) => !readme.includes(command))).toEqual([]);
  const watches = all(read('src/watches/finding.ts'), /\| '([a-z-]+)'/g).filter((name) =>
    /^(heater|tank|plug|probe|room)-/.test(name),
  );
  expect(watches.length).toBeGreaterThan(6);
  expect(watches.filter((watch) => !readme.includes(watch))).toEqual([]);
});
