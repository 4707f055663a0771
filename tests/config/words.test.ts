import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { nearest } from '../../src/config/nearest.ts';
import { type Edit, edited, load, SAMPLE, told } from './sample.ts';

/** A wrong value, and the words for what is there and what may be. */
const WORDS: readonly (Edit & { found: string; allowed: string; remedy?: string })[] = [
  { swap: 'set_c: 25', by: 'set_c: warm', found: '"warm"', allowed: 'a number' },
  { swap: 'set_c: 25', by: 'set_c: [25]', found: 'a list', allowed: 'a number' },
  { swap: 'set_c: 25', by: 'set_c: .nan', found: 'NaN', allowed: 'a number' },
  { swap: 'set_c: 25', by: 'set_c: .inf', found: 'Infinity', allowed: 'a number' },
  { swap: 'set_c: 25', by: 'set_c:', found: 'an empty value', allowed: 'a number' },
  { swap: 'set_c: 25', by: 'set_c: 99', found: '99', allowed: 'at most 60' },
  { swap: 'set_c: 25', by: 'set_c: -9', found: '-9', allowed: 'at least -5' },
  { swap: 'set_c: 25', by: 'set_c: 25\n    lid: yes', found: '"yes"', allowed: 'true or false' },
  {
    swap: 'set_c: 25',
    by: 'set_c: 25\n    lid: "true"',
    found: '"true"',
    allowed: 'true or false',
    remedy: 'take the quotes away',
  },
  {
    swap: 'name: Den',
    by: 'name: 7',
    found: '7',
    allowed: 'text',
    remedy: 'put it in quotes to make it text',
  },
  { swap: 'name: Den', by: "name: ''", found: '""', allowed: 'at least 1 character' },
  { swap: 'volume_l: 200', by: 'volume_l: 0', found: '0', allowed: 'more than 0' },
  { swap: 'sentinels: [85, -127]', by: 'sentinels: 85', found: '85', allowed: 'a list' },
  { swap: 'porch: {}', by: 'porch: Porch', found: '"Porch"', allowed: 'a map' },
  {
    swap: '  group_time_s: 5',
    by: '  group_time_s: 5\nweb: { port: 80.5 }',
    found: '80.5',
    allowed: 'a whole number',
  },
  {
    swap: "{ from: '09:00', to: '19:00' }",
    by: "{ from: '9:00', to: '19:00' }",
    found: '"9:00"',
    allowed: "a time of day written 'HH:MM', 00:00 to 24:00",
  },
  {
    swap: "    schedule:\n      - { from: '09:00', to: '19:00' }\n",
    by: '    schedule: []\n',
    found: 'a list',
    allowed: 'at least 1 entry',
  },
  {
    swap: 'kind: external',
    by: 'kind: cloud',
    found: '"cloud"',
    allowed: 'one of embedded, external',
  },
  { swap: 'unit: kWh', by: 'unit: kWh\n        scale: 0', found: '0', allowed: 'any number but 0' },
  {
    swap: 'unit: kWh',
    by: 'unit: kwh',
    found: '"kwh"',
    allowed: 'one of Wh, kWh, mWh, Ws, Wmin',
    remedy: 'did you mean kWh?',
  },
];

describe('what is wrong, in plain words', () => {
  for (const { swap, by, ...words } of WORDS) {
    it(`${by.trim()}: found ${words.found}, allowed ${words.allowed}`, () => {
      const problems = told(load(edited(SAMPLE, [{ swap, by }])));
      expect(problems).toHaveLength(1);
      expect(problems[0]).toMatchObject(words);
    });
  }

  it('never shows what the library says to programmers', () => {
    for (const { swap, by } of WORDS) {
      const [problem] = told(load(edited(SAMPLE, [{ swap, by }])));
      expect(`${problem?.found} ${problem?.allowed}`).not.toMatch(/Invalid|expected|received|zod/i);
    }
  });

  it('looks behind a bad id and a mistyped kind, however many there are', () => {
    const text = edited(SAMPLE, [
      {
        swap: '  reed-heater:\n    kind: heater\n    nameplate_w: 200',
        by: '  Reed Heater:\n    kind: heater\n    nameplate_w: hot',
      },
      { swap: 'mat-den: 0.1', by: 'Mat_Den: 9' },
      { swap: '  blower:\n', by: '  BLOWER:\n' },
      { swap: 'kind: external', by: 'kind: extrenal' },
      { swap: 'silence_limit_s: 120', by: 'silence_limit_s: soon' },
    ]);
    expect(told(load(text)).map(({ code, path }) => `${code} ${path}`)).toEqual([
      'AMP_CONFIG_CHOICE broker.kind',
      'AMP_CONFIG_TYPE broker.silence_limit_s',
      'AMP_CONFIG_ID devices."Reed Heater"',
      'AMP_CONFIG_TYPE devices."Reed Heater".nameplate_w',
      'AMP_CONFIG_ID devices.BLOWER',
      'AMP_CONFIG_ID devices.BLOWER.shares.Mat_Den',
      'AMP_CONFIG_REFERENCE devices.BLOWER.shares.Mat_Den',
      'AMP_CONFIG_RANGE devices.BLOWER.shares.Mat_Den',
    ]);
  });
});

describe('did you mean', () => {
  const words = ['limit_w', 'reporting', 'usual_interval_s', 'counter_restarts', 'name'];

  it('forgives slips of the pen, swapped letters, case, hyphens and a unit left out', () => {
    expect(nearest('reportin', words)).toBe('reporting');
    expect(nearest('reproting', words)).toBe('reporting');
    expect(nearest('Counter-Restarts', words)).toBe('counter_restarts');
    expect(nearest('limit', words)).toBe('limit_w');
    expect(nearest('usual_interval', words)).toBe('usual_interval_s');
  });

  it('does not guess wildly', () => {
    expect(nearest('color', words)).toBeUndefined();
    expect(nearest('x', ['a', 'b'])).toBeUndefined();
    expect(nearest('', words)).toBeUndefined();
    expect(nearest('nam', [])).toBeUndefined();
  });

  it('finds any word of five letters or more back after one slip', () => {
    fc.assert(
      fc.property(
        fc.stringMatching(/^[a-z]{5,12}$/),
        fc.nat(11),
        fc.constantFrom('drop', 'double', 'change'),
        (word, position, slip) => {
          const at = position % word.length;
          const tail = word.slice(at + 1);
          const middle = { drop: '', double: `${word[at]}${word[at]}`, change: '9' }[slip];
          expect(nearest(word.slice(0, at) + middle + tail, ['zzzzzzzzzzzzzzzzzzzz', word])).toBe(
            word,
          );
        },
      ),
    );
  });
});
