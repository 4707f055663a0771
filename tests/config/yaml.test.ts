import { describe, expect, it } from 'vitest';
import { formatProblems } from '../../src/config/index.ts';
import { brief, edited, lineOf, load, SAMPLE, told } from './sample.ts';

describe('what the YAML itself forbids', () => {
  it('refuses aliases that repeat too much, and quickly', () => {
    const levels = 'abcdefghi'.split('');
    const bomb = levels
      .map((name, index) => {
        const inner = index === 0 ? '"lol"' : `*${levels[index - 1]}`;
        return `${name}: &${name} [${Array(9).fill(inner).join(', ')}]`;
      })
      .join('\n');
    const start = performance.now();
    const problems = told(load(bomb));
    expect(problems.map(({ code }) => code)).toEqual(['AMP_CONFIG_ALIASES']);
    expect(performance.now() - start).toBeLessThan(2000);
  });

  it('refuses an anchor that holds itself', () => {
    expect(told(load('a: &a\n  b: *a\n')).map(({ code }) => code)).toContain('AMP_CONFIG_ALIASES');
  });

  it('refuses a file nested without end, and does not fall over', () => {
    const deep = `a: ${'['.repeat(200)}${']'.repeat(200)}`;
    expect(told(load(deep))[0]).toMatchObject({ code: 'AMP_CONFIG_ALIASES', line: 1 });
  });

  it('takes a few aliases, and points at what they repeat', () => {
    const text = edited(SAMPLE, [
      { swap: 'keep_c: { min: 20, max: 34 }', by: 'keep_c: &kept { min: 20, max: 34 }' },
      {
        swap: '    keep_c:\n      min: 22\n      max: 27\n    set_c: 25\n',
        by: '    keep_c: *kept\n',
      },
    ]);
    expect(load(text).ok).toBe(false); // an alias before its anchor
    const ordered = edited(SAMPLE, [
      { swap: '    keep_c:\n      min: 22', by: '    keep_c: &kept\n      min: 22' },
      { swap: 'keep_c: { min: 20, max: 34 }', by: 'keep_c: *kept' },
    ]);
    expect(load(ordered)).toMatchObject({
      ok: true,
      config: { tanks: { 'mat-den': { keep_c: { min: 22, max: 27 } } } },
    });
    const wrong = edited(ordered, [{ swap: 'max: 27', by: 'max: 99' }]);
    expect(brief(told(load(wrong))).every((line) => line.startsWith('22 '))).toBe(true);
  });

  it('merges nothing: << is a key that nobody knows', () => {
    const text = edited(SAMPLE, [
      { swap: 'socket-1: { limit_w: 2300 }', by: 'socket-1: &one { limit_w: 2300 }' },
      { swap: 'lamp-plug: {}', by: 'lamp-plug:\n    <<: *one' },
    ]);
    const line = lineOf(text, '<<:');
    expect(brief(told(load(text)))).toEqual([
      `${line} AMP_CONFIG_UNKNOWN_KEY plugs.lamp-plug."<<"`,
    ]);
  });

  it('tells a key that stands twice, with the line of the first, and the rest as well', () => {
    const text = edited(SAMPLE, [
      { swap: 'lamp-plug: {}', by: 'lamp-plug: {}\n  socket-2: {}' },
      { swap: 'locale: en-FI', by: 'local: en-FI' },
    ]);
    const problems = told(load(text));
    expect(problems.map(({ code }) => code)).toEqual([
      'AMP_CONFIG_UNKNOWN_KEY',
      'AMP_CONFIG_DUPLICATE_KEY',
    ]);
    expect(problems[1]).toMatchObject({ line: lineOf(text, '  socket-2: {}'), column: 3 });
    expect(problems[1]?.found).toContain(`first in line ${lineOf(text, 'socket-2: { counter')}`);
  });

  it('reads YAML 1.2: yes, 08:00 and 0o17 are what they look like', () => {
    const text = edited(SAMPLE, [
      { swap: 'name: Den', by: 'name: yes' },
      { swap: "from: '09:00', to: '19:00'", by: 'from: 08:00, to: 19:00' },
      { swap: "valid_from: '2023-01-01'", by: 'valid_from: 2023-01-01' },
    ]);
    expect(load(text)).toMatchObject({
      ok: true,
      config: {
        rooms: { den: { name: 'yes' } },
        devices: { lamp: { schedule: [{ from: '08:00' }] } },
        tariffs: { early: { valid_from: '2023-01-01' } },
      },
    });
  });

  it('judges the sections that a broken line leaves whole, and says nothing of the others', () => {
    const text = edited(SAMPLE, [
      { swap: 'locale: en-FI', by: 'lokale: en-FI' },
      { swap: 'nameplate_w: 200', by: 'nameplate_w: "200' },
      { swap: 'porch: {}', by: 'porch: []' },
    ]);
    const problems = told(load(text));
    expect(brief(problems).slice(0, 2)).toEqual([
      '5 AMP_CONFIG_UNKNOWN_KEY site.lokale',
      '14 AMP_CONFIG_TYPE rooms.porch',
    ]);
    expect(brief(problems).slice(2)).toEqual([`${lineOf(text, '"200')} AMP_CONFIG_YAML `]);
    expect(problems[2]?.found).toBe('a quote that is never closed');
  });

  it('shows the line of a tab, of a second document and of a tag', () => {
    const tab = edited(SAMPLE, [{ swap: '  group_time_s: 5', by: '\tgroup_time_s: 5' }]);
    expect(told(load(tab))[0]).toMatchObject({ code: 'AMP_CONFIG_YAML', line: 11 });
    expect(told(load(tab))[0]?.allowed).toContain('spaces');
    const second = `${SAMPLE}---\nsite: {}\n`;
    expect(told(load(second))).toMatchObject([
      { code: 'AMP_CONFIG_YAML', line: SAMPLE.split('\n').length },
    ]);
    const tag = edited(SAMPLE, [{ swap: 'name: Den', by: 'name: !secret Den' }]);
    expect(told(load(tag))).toMatchObject([{ code: 'AMP_CONFIG_YAML', line: 13, column: 16 }]);
  });

  it('refuses keys that are maps or that JavaScript reserves', () => {
    const text = edited(SAMPLE, [
      { swap: 'porch: {}', by: 'porch: {}\n  __proto__: { name: x }\n  ? [a, b]\n  : {}' },
    ]);
    expect(brief(told(load(text)))).toEqual([
      '15 AMP_CONFIG_UNKNOWN_KEY rooms',
      '16 AMP_CONFIG_YAML rooms',
    ]);
  });

  it('says of an empty file, a list or a word what should be there', () => {
    for (const text of ['', '# nothing yet\n', '[1]', 'ampulla', '42']) {
      const problems = told(load(text));
      expect(problems.length, text).toBeGreaterThan(0);
      expect(formatProblems(problems), text).toContain('allowed a map');
    }
  });

  it('tells an alias that has no anchor once, and not that its value is missing', () => {
    const text = edited(SAMPLE, [
      {
        swap: '    plug: socket-1\n    tank: reed-bed',
        by: '    plug: socket-1\n    tank: *nowhere',
      },
    ]);
    expect(brief(told(load(text)))).toEqual([
      `${lineOf(text, '*nowhere')} AMP_CONFIG_YAML devices.reed-heater.tank`,
    ]);
  });
});
