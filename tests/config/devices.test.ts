import { describe, expect, it } from 'vitest';
import { DEVICES } from './devices-sample.ts';
import { brief, type Edit, edited, lineOf, load, told } from './sample.ts';

interface Case extends Edit {
  readonly says: string;
  /** `code path` of each, in file order. */
  readonly expect: readonly string[];
  /** Text in the line at which the first must be told. */
  readonly at: string;
  /** In what was found, what is allowed, or the advice of the first. */
  readonly words?: string;
  readonly warning?: true;
}

const CASES: readonly Case[] = [
  {
    says: 'a device with shares and a rule',
    swap: '    divided: { by: equal, among: [reed-bed, upkeep] }\n',
    by: '    shares: { reed-bed: 1 }\n    divided: { by: equal, among: [reed-bed, upkeep] }\n',
    expect: ['AMP_CONFIG_ONE_OF devices.skimmer'],
    at: '  skimmer:\n',
    words: 'both shares and divided',
  },
  {
    says: 'a device without any of the three',
    swap: '    divided: { by: equal, among: [reed-bed, upkeep] }\n',
    by: '',
    expect: ['AMP_CONFIG_ONE_OF devices.skimmer'],
    at: '  skimmer:\n',
    words: 'neither tank nor shares nor divided',
  },
  {
    says: 'a move to nowhere',
    swap: "{ on: '2026-03-03', tank: upkeep }",
    by: "{ on: '2026-03-03' }",
    expect: ['AMP_CONFIG_ONE_OF devices.stove.moved[0]'],
    at: "on: '2026-03-03'",
    words: 'exactly one of tank, shares, divided',
  },
  {
    says: 'a move to a tank that is not there',
    swap: "'2026-03-03', tank: upkeep",
    by: "'2026-03-03', tank: reed-bet",
    expect: ['AMP_CONFIG_REFERENCE devices.stove.moved[0].tank'],
    at: 'tank: reed-bet\n'.trim(),
    words: 'did you mean reed-bed?',
  },
  {
    says: 'a rule that does not exist',
    swap: 'by: volume',
    by: 'by: volum',
    expect: ['AMP_CONFIG_CHOICE devices.stirrer.divided.by'],
    at: 'by: volum\n',
    words: 'did you mean volume?',
  },
  {
    says: 'an unknown key of a rule',
    swap: 'room_without_c: 11',
    by: 'room_without_k: 11',
    expect: [
      'AMP_CONFIG_MISSING devices.stove.divided.room_without_c',
      'AMP_CONFIG_UNKNOWN_KEY devices.stove.divided.room_without_k',
    ],
    at: '    kind: room-heater\n    nameplate_w: 900\n',
  },
  {
    says: 'a list of no tanks',
    swap: 'by: volume\n      among: [reed-bed, mat-den]',
    by: 'by: volume\n      among: []',
    expect: ['AMP_CONFIG_RANGE devices.stirrer.divided.among'],
    at: 'among: []',
    words: 'at least 1 entry',
  },
  {
    says: 'no moves',
    swap: DEVICES.slice(DEVICES.indexOf('    moved:\n'), DEVICES.indexOf('    until:')),
    by: '    moved: []\n',
    expect: ['AMP_CONFIG_RANGE devices.stove.moved'],
    at: '    moved: []\n',
  },
  {
    says: 'no outlets',
    swap: 'outlets: { reed-bed: 3, upkeep: 1 }',
    by: 'outlets: {}',
    expect: ['AMP_CONFIG_RANGE devices.stove.moved[1].divided.outlets'],
    at: 'outlets: {}',
    words: 'at least 1 entry',
  },
  {
    says: 'half an outlet',
    swap: 'reed-bed: 3, upkeep: 1',
    by: 'reed-bed: 2.5, upkeep: 1',
    expect: ['AMP_CONFIG_TYPE devices.stove.moved[1].divided.outlets.reed-bed'],
    at: 'reed-bed: 2.5',
    words: 'a whole number',
  },
  {
    says: 'outlets of a tank that is not there',
    swap: 'reed-bed: 3, upkeep: 1',
    by: 'reed-bad: 3, upkeep: 1',
    expect: ['AMP_CONFIG_REFERENCE devices.stove.moved[1].divided.outlets.reed-bad'],
    at: 'reed-bad: 3',
    words: 'did you mean reed-bed?',
  },
  {
    says: 'a rule among tanks of which one is not there',
    swap: 'by: volume\n      among: [reed-bed, mat-den]',
    by: 'by: volume\n      among: [reed-bed, mat-dem]',
    expect: ['AMP_CONFIG_REFERENCE devices.stirrer.divided.among[1]'],
    at: 'mat-dem',
    words: 'did you mean mat-den?',
  },
  {
    says: 'a tank that stands twice in a rule',
    swap: 'among: [reed-bed, upkeep]',
    by: 'among: [reed-bed, upkeep, reed-bed]',
    expect: ['AMP_CONFIG_DIVIDED devices.skimmer.divided.among[2]'],
    at: 'among: [reed-bed, upkeep, reed-bed]',
    words: 'reed-bed for the second time',
  },
  {
    says: 'the upkeep where a rule goes by volume',
    swap: 'by: volume\n      among: [reed-bed, mat-den]',
    by: 'by: volume\n      among: [reed-bed, upkeep]',
    expect: ['AMP_CONFIG_DIVIDED devices.stirrer.divided.among[1]'],
    at: 'by: volume\n      among: [reed-bed, upkeep]',
    words: 'by: equal',
  },
  {
    says: 'the upkeep where a rule goes by heat need',
    swap: 'by: heat-need\n      among: [reed-bed, mat-den]',
    by: 'by: heat-need\n      among: [reed-bed, upkeep]',
    expect: ['AMP_CONFIG_DIVIDED devices.stove.divided.among[1]'],
    at: 'by: heat-need\n      among: [reed-bed, upkeep]',
    words: 'is upkeep anyway',
  },
  {
    says: 'shares of a move that do not sum to 1',
    swap: 'mat-den: 0.4',
    by: 'mat-den: 0.3',
    expect: ['AMP_CONFIG_SHARES_SUM devices.stove.moved[2].shares'],
    at: 'mat-den: 0.3',
    words: 'add upkeep: 0.1',
  },
  {
    says: 'a move on a day that the calendar does not have',
    swap: "on: '2026-03-05'",
    by: "on: '2026-02-29'",
    expect: ['AMP_CONFIG_DATE devices.stove.moved[1].on'],
    at: "'2026-02-29'",
  },
  {
    says: 'moves out of order',
    swap: "on: '2026-03-05'",
    by: "on: '2026-03-01'",
    expect: ['AMP_CONFIG_DEVICE_DATES devices.stove.moved[1].on'],
    at: "'2026-03-01'",
    words: '2026-03-01, after a move on 2026-03-03',
  },
  {
    says: 'two moves on one day',
    swap: "on: '2026-03-07'",
    by: "on: '2026-03-05' # again",
    expect: ['AMP_CONFIG_DEVICE_DATES devices.stove.moved[2].on'],
    at: '# again',
    words: '2026-03-05 for the second time',
  },
  {
    says: 'a move after the last day in use',
    swap: "until: '2026-05-01'",
    by: "until: '2026-03-05'",
    expect: ['AMP_CONFIG_DEVICE_DATES devices.stove.moved[2].on'],
    at: "on: '2026-03-07'",
    words: 'in use until 2026-03-05',
  },
  {
    says: 'a device reckoned only after its last day',
    swap: "reckon_from: '2026-01-02'",
    by: "reckon_from: '2026-05-02'",
    expect: ['AMP_CONFIG_DEVICE_DATES devices.stove.until'],
    at: "until: '2026-05-01'",
  },
  {
    says: 'a last day that the calendar does not have',
    swap: "until: '2026-05-01'",
    by: "until: '2026-04-31'",
    expect: ['AMP_CONFIG_DATE devices.stove.until'],
    at: "'2026-04-31'",
  },
  {
    says: 'two devices on a plug without a remainder, with the remedy',
    swap: 'lamp-plug: { remainder: lamp }',
    by: 'lamp-plug: {}',
    expect: ['AMP_CONFIG_PLUG_TWICE devices.skimmer.plug'],
    at: '    nameplate_w: 8\n    plug: lamp-plug',
    words: 'write remainder: lamp at plugs.lamp-plug',
  },
  {
    says: 'a remainder that is no device',
    swap: 'remainder: lamp',
    by: 'remainder: lump',
    expect: ['AMP_CONFIG_REFERENCE plugs.lamp-plug.remainder'],
    at: 'remainder: lump',
    words: 'did you mean lamp?',
  },
  {
    says: 'a remainder that is on another plug',
    swap: 'remainder: lamp',
    by: 'remainder: mat',
    expect: ['AMP_CONFIG_REMAINDER plugs.lamp-plug.remainder'],
    at: 'remainder: mat',
    words: 'one of lamp, skimmer',
  },
  {
    says: 'the wrong plug of a remainder, and does not guess about the remainder',
    swap: '    plug: lamp-plug\n    tank: reed-bed\n',
    by: '    plug: 7\n    tank: reed-bed\n',
    expect: ['AMP_CONFIG_TYPE devices.lamp.plug'],
    at: 'plug: 7',
  },
  {
    says: 'a remainder on a plug with one device',
    swap: 'socket-2: { counter_wraps_at_wh: 10000 }',
    by: 'socket-2: { counter_wraps_at_wh: 10000, remainder: mat }',
    expect: ['AMP_CONFIG_REMAINDER_IDLE plugs.socket-2.remainder'],
    at: 'remainder: mat',
    words: 'nothing to divide',
    warning: true,
  },
  {
    says: 'a heater that shares its plug, which blinds its watches',
    swap: '  skimmer:\n',
    by: '  dip:\n    kind: heater\n    nameplate_w: 50\n    plug: lamp-plug\n    tank: reed-bed\n  skimmer:\n',
    expect: ['AMP_CONFIG_PLUG_SHARED devices.dip.plug'],
    at: '    nameplate_w: 50\n    plug: lamp-plug',
    words: 'also feeds lamp, skimmer it, but no watch can tell from the power',
    warning: true,
  },
  {
    says: 'a remainder that leaves before the others',
    swap: '    plug: lamp-plug\n    tank: reed-bed\n',
    by: '    plug: lamp-plug\n    tank: reed-bed\n    until: 2026-05-05\n',
    expect: ['AMP_CONFIG_REMAINDER_IDLE plugs.lamp-plug.remainder'],
    at: 'remainder: lamp',
    words: 'in use only until 2026-05-05',
    warning: true,
  },
  {
    says: 'a tank that is no warmer than the room without the heater',
    swap: 'room_without_c: 11',
    by: 'room_without_c: 25',
    expect: ['AMP_CONFIG_NO_NEED devices.stove.divided.among[0]'],
    at: 'by: heat-need\n      among: [reed-bed',
    words: 'reed-bed, kept at 25 °C',
    warning: true,
  },
  {
    says: 'a heater that was moved to a tank without a probe',
    swap: '    plug: socket-1\n    tank: reed-bed\n',
    by: "    plug: socket-1\n    tank: reed-bed\n    moved: [{ on: '2026-02-02', tank: pond }]\n",
    expect: ['AMP_CONFIG_NO_PROBE devices.reed-heater'],
    at: '  reed-heater:\n',
    words: 'a heater in pond',
    warning: true,
  },
];

const POND: Edit = {
  swap: 'probes:\n  reed-water',
  by: '  pond: { room: porch, volume_l: 900, keep_c: { min: 4, max: 24 } }\nprobes:\n  reed-water',
};

/** The line of the last line of `marker`. */
const lastLineOf = (text: string, marker: string): number =>
  lineOf(text, marker) + marker.trimEnd().split('\n').length - 1;

describe('whose the devices are, and on which plug', () => {
  it('starts from a file that has nothing wrong', () => {
    const result = load(DEVICES);
    expect(told(result)).toEqual([]);
    expect(result.ok).toBe(true);
  });

  for (const { says, swap, by, expect: wanted, at, words, warning } of CASES) {
    it(`${warning === true ? 'warns of' : 'refuses'} ${says}`, () => {
      const text = edited(DEVICES, [{ swap, by }, POND]);
      const result = load(text);
      const problems = told(result);
      expect(problems.map(({ code, path }) => `${code} ${path}`)).toEqual(wanted);
      expect(result.ok).toBe(warning === true);
      const [first] = problems;
      if (!wanted[0]?.includes('MISSING')) expect(first?.line).toBe(lastLineOf(text, at));
      if (words !== undefined) {
        expect(`${first?.found} ${first?.allowed} ${first?.remedy}`).toContain(words);
      }
    });
  }

  it('tells all mistakes of one device at once', () => {
    const text = edited(DEVICES, [
      { swap: "on: '2026-03-05'", by: "on: '2026-03-01'" },
      { swap: 'mat-den: 0.4', by: 'mat-den: 0.3' },
      { swap: 'reed-bed: 3, upkeep: 1', by: 'reed-bad: 3, upkeep: 1' },
      { swap: "'2026-03-03', tank: upkeep", by: "'2026-03-03', tank: nowhere" },
      { swap: "until: '2026-05-01'", by: "until: '2026-03-06'" },
      { swap: 'by: heat-need\n      among: [reed-bed', by: 'by: heat-need\n      among: [upkeep' },
    ]);
    expect(brief(told(load(text))).map((line) => line.replace(/^\d+ AMP_CONFIG_/, ''))).toEqual([
      'DIVIDED devices.stove.divided.among[0]',
      'REFERENCE devices.stove.moved[0].tank',
      'DEVICE_DATES devices.stove.moved[1].on',
      'REFERENCE devices.stove.moved[1].divided.outlets.reed-bad',
      'DEVICE_DATES devices.stove.moved[2].on',
      'SHARES_SUM devices.stove.moved[2].shares',
    ]);
  });

  it('takes a device that was reckoned, and moved, on its only day in use', () => {
    const text = edited(DEVICES, [
      { swap: "reckon_from: '2026-01-02'", by: "reckon_from: '2026-03-07'" },
      { swap: "until: '2026-05-01'", by: "until: '2026-03-07'" },
    ]);
    expect(told(load(text))).toEqual([]);
  });

  it('lets a device take over the plug of one that is no longer in use, once it is told to', () => {
    const replaced = edited(DEVICES, [
      {
        swap: '  skimmer:\n',
        by: '  dip:\n    kind: heater\n    nameplate_w: 150\n    plug: socket-1\n    tank: reed-bed\n  skimmer:\n',
      },
      {
        swap: '    plug: socket-1\n    tank: reed-bed\n  mat:',
        by: "    plug: socket-1\n    tank: reed-bed\n    until: '2026-01-31'\n  mat:",
      },
    ]);
    const [problem, ...more] = told(load(replaced));
    expect(more).toEqual([]);
    expect(problem).toMatchObject({
      code: 'AMP_CONFIG_PLUG_TWICE',
      path: 'devices.dip.plug',
      remedy: expect.stringContaining('write remainder: dip at plugs.socket-1'),
    });
    const text = edited(replaced, [
      { swap: 'socket-1: { limit_w: 2300 }', by: 'socket-1: { limit_w: 2300, remainder: dip }' },
    ]);
    expect(told(load(text))).toEqual([]);
  });
});
