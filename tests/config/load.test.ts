import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  besideConfig,
  formatPath,
  formatProblems,
  loadConfig,
  type Problem,
} from '../../src/config/index.ts';
import { edited, load, SAMPLE, told } from './sample.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ampulla-load-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const written = (name: string, content: string | Uint8Array): string => {
  const file = join(folder, name);
  writeFileSync(file, content);
  return file;
};

describe('loading the file', () => {
  it('fills in the defaults', () => {
    const result = loadConfig(written('good.yaml', SAMPLE), {});
    expect(result).toMatchObject({
      ok: true,
      config: {
        broker: { protocol: 'auto' },
        store: { file: 'ampulla.db', group_time_s: 5 },
        web: { port: 8624 },
        plugs: { 'lamp-plug': { reporting: 'on-change', limit_w: 3680 } },
        watches: { heater_stuck_on: { hold_min: 10 } },
      },
    });
  });

  it('freezes what it hands out to the leaves', () => {
    const result = load(SAMPLE);
    if (!result.ok) throw new Error('the sample is good');
    const left: string[] = [];
    const walk = (value: unknown, path: string): void => {
      if (typeof value !== 'object' || value === null) return;
      if (!Object.isFrozen(value)) left.push(path);
      for (const [key, part] of Object.entries(value)) walk(part, `${path}.${key}`);
    };
    walk(result.config, 'config');
    expect(left).toEqual([]);
    expect(() => {
      (result.config.tanks as Record<string, unknown>)['reed-bed'] = {};
    }).toThrow(TypeError);
  });

  const UNREADABLE: [string, () => string, string][] = [
    ['that is not there', () => join(folder, 'nowhere.yaml'), 'no such file'],
    ['that is a folder', () => folder, 'something that is not a regular file'],
    ['over a mebibyte', () => written('big.yaml', `# ${'x'.repeat(1024 * 1024)}`), '1048578 bytes'],
    [
      'that is not UTF-8',
      () => written('latin.yaml', Uint8Array.of(0x61, 0xe4, 0x0a)),
      'not UTF-8',
    ],
  ];
  for (const [what, make, words] of UNREADABLE) {
    it(`refuses a file ${what}, by a code`, () => {
      const file = make();
      const problems = told(loadConfig(file, {}));
      expect(problems).toMatchObject([{ code: 'AMP_CONFIG_READ', file, line: 1, column: 1 }]);
      expect(problems[0]?.found).toContain(words);
    });
  }

  it('points into a file with carriage returns and umlauts all the same', () => {
    const text = edited(SAMPLE, [{ swap: 'name: Den }', by: "name: 'Höhle äöü', nome: x }" }]);
    const problems = told(load(text.replaceAll('\n', '\r\n')));
    expect(problems).toMatchObject([{ line: 13, column: 29, path: 'rooms.den.nome' }]);
  });

  it('finds paths of the file beside it', () => {
    expect(besideConfig('/etc/ampulla/site.yaml', 'books.db')).toBe('/etc/ampulla/books.db');
    expect(besideConfig('/etc/ampulla/site.yaml', '/srv/books.db')).toBe('/srv/books.db');
    expect(besideConfig('site.yaml', 'books.db')).toBe(resolve('books.db'));
  });
});

describe('a problem on the terminal', () => {
  const problem: Problem = {
    code: 'AMP_CONFIG_RANGE',
    file: 'site.yaml',
    line: 7,
    column: 3,
    path: 'store.group_time_s',
    found: '90',
    allowed: 'at most 60',
  };

  it('is one line that says where, what, what is allowed and what to do', () => {
    expect(formatProblems([problem])).toBe(
      'site.yaml:7:3  AMP_CONFIG_RANGE  store.group_time_s: found 90; allowed at most 60.',
    );
    expect(formatProblems([{ ...problem, path: '', remedy: 'did you mean 60?' }])).toBe(
      'site.yaml:7:3  AMP_CONFIG_RANGE  found 90; allowed at most 60. Did you mean 60?',
    );
    expect(formatProblems([problem, problem]).split('\n')).toHaveLength(2);
    expect(formatProblems([])).toBe('');
  });

  it('stays one short line whatever the file holds', () => {
    const text = edited(SAMPLE, [
      { swap: 'housing: aquarium', by: `housing: "a\\nb\\u001b[31m\\u009b31m${'x'.repeat(500)}"` },
      { swap: 'porch: {}', by: 'porch: { "na\\nme": x }' },
    ]);
    const lines = formatProblems(told(load(text)));
    expect(lines.split('\n')).toHaveLength(2);
    expect(lines.replaceAll('\n', '')).not.toMatch(/\p{Cc}/u);
    expect(Math.max(...lines.split('\n').map((line) => line.length))).toBeLessThan(320);
  });

  it('writes a path as the keeper would say it', () => {
    expect(formatPath(['feeds', 'wall', 'values', 0, 'plug'])).toBe('feeds.wall.values[0].plug');
    expect(formatPath(['notify', 'a b'])).toBe('notify."a b"');
    expect(formatPath([])).toBe('');
  });
});
