import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatProblems } from '../../src/config/index.ts';
import { MISTAKES, type Mistake } from './mistakes.ts';
import { brief, edited, FILE, lineOf, load, SAMPLE, told } from './sample.ts';

const { AMPULLA_LONG } = process.env;

const expected = (text: string, mistakes: readonly Mistake[]): string[] =>
  mistakes.map(({ at, code, path }) => `${lineOf(text, at)} ${code} ${path}`).sort();

describe('a configuration with mistakes', () => {
  it('starts from a sample that has none', () => {
    expect(told(load(SAMPLE))).toEqual([]);
    expect(load(SAMPLE).ok).toBe(true);
  });

  it('reports five different mistakes at once, each with its line, in file order', () => {
    const five = [3, 5, 7, 13, 15].map((index) => MISTAKES[index] as Mistake);
    const result = load(edited(SAMPLE, five));
    expect(result.ok).toBe(false);
    expect(brief(told(result))).toEqual([
      '9 AMP_CONFIG_UNKNOWN_KEY broker.silence_limit',
      '14 AMP_CONFIG_UNKNOWN_KEY rooms.porch.Name',
      '20 AMP_CONFIG_MISSING tanks.reed-bed.keep_c.min',
      '50 AMP_CONFIG_REFERENCE devices.lamp.tank',
      '56 AMP_CONFIG_SHARES_SUM devices.blower.shares',
    ]);
    // Which keys a map has is its room's affair, and grows.
    const text = formatProblems(told(result)).replace(/allowed \w+, [^.]*\./g, 'allowed ….');
    expect(text).toBe(
      [
        `${FILE}:9:3  AMP_CONFIG_UNKNOWN_KEY  broker.silence_limit: found the unknown key "silence_limit"; allowed …. Did you mean silence_limit_s?`,
        `${FILE}:14:12  AMP_CONFIG_UNKNOWN_KEY  rooms.porch.Name: found the unknown key "Name"; allowed …. Did you mean name?`,
        `${FILE}:20:5  AMP_CONFIG_MISSING  tanks.reed-bed.keep_c.min: found nothing; allowed a number. Add the key min.`,
        `${FILE}:50:11  AMP_CONFIG_REFERENCE  devices.lamp.tank: found "reed-bet"; allowed the id of a tank in this file. Did you mean reed-bed?`,
        `${FILE}:56:5  AMP_CONFIG_SHARES_SUM  devices.blower.shares: found shares that sum to 0.9; allowed shares that sum to 1. Add upkeep: 0.1 if the rest serves no tank.`,
      ].join('\n'),
    );
  });

  for (const mistake of MISTAKES) {
    it(`tells ${mistake.code} at ${mistake.path}`, () => {
      const text = edited(SAMPLE, [mistake]);
      const problems = told(load(text));
      expect(brief(problems)).toEqual(expected(text, [mistake]));
      if (mistake.advice !== undefined) expect(problems[0]?.remedy).toContain(mistake.advice);
      expect(problems[0]?.found).not.toBe('');
      expect(problems[0]?.allowed).not.toBe('');
    });
  }

  it('reports any set of mistakes completely, and nothing else', () => {
    fc.assert(
      fc.property(fc.subarray([...MISTAKES], { minLength: 1 }), (mistakes) => {
        const text = edited(SAMPLE, mistakes);
        const result = load(text);
        expect(result.ok).toBe(false);
        const wanted = expected(text, mistakes).map((line) =>
          // What stands below a wrong id is told under that id.
          mistakes.some(({ path }) => path === 'devices.Blower')
            ? line.replace('devices.blower.', 'devices.Blower.')
            : line,
        );
        expect(brief(told(result)).sort()).toEqual(wanted.sort());
        const lines = told(result).map(({ line }) => line);
        expect(lines).toEqual([...lines].sort((a, b) => a - b));
      }),
      { numRuns: AMPULLA_LONG === undefined ? 60 : 5000 },
    );
  });
});
