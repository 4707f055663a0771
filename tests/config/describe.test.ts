import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type Config, describeConfig, parseConfig, showConfig } from '../../src/config/index.ts';
import type { LocalDate } from '../../src/units/index.ts';
import { type Edit, edited, FILE, load, SAMPLE } from './sample.ts';

function config(...edits: Edit[]): Config {
  const result = load(edited(SAMPLE, edits));
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.config;
}

const on = (date: string): LocalDate => date as LocalDate;

describe('what would run', () => {
  it('is told in a page that a keeper can check against the room', () => {
    expect(
      describeConfig(config(), on('2024-06-01')),
    ).toBe(`site    heron-lane, Europe/Helsinki, EUR, en-FI
broker  mqtt://127.0.0.1:1883
books   ampulla.db, committed at most 5 s after a reading
page    http://127.0.0.1:8624/
counts  2 rooms, 2 tanks, 4 devices (1 reckoned), 3 plugs, 3 probes, 4 feeds

reed-bed in den, kept at 22 to 27 °C, probe reed-water
  reed-heater  heater  200 W  plug socket-1
  lamp         light   30 W   plug lamp-plug

mat-den in den, kept at 20 to 34 °C, probe mat-side
  mat  heat-mat  25 W  plug socket-2

no single tank
  blower  air-pump  12 W  reckoned  reed-bed 70 %, mat-den 10 %, upkeep 20 %

feeds
  sockets   house/{n}/state     counter, power
  old-lamp  old/{serial}/watts  power
  seen      house/{n}/seen      presence
  probes    air/{probe}         temperature

tariffs
  from 2023-01-01  early  0.12 EUR/kWh                  in force on 2024-06-01
  from 2025-01-01  later  day 0.16, night 0.09 EUR/kWh

alerts
  MQTT, retained, below ampulla/heron-lane
  webhook bell, https://bell.example`);
  });

  it('names the tariff in force on its first day, and none before the first', () => {
    const inForce = (date: string): string | undefined =>
      describeConfig(config(), on(date))
        .split('\n')
        .find((line) => line.includes('in force'));
    expect(inForce('2024-12-31')).toContain('early');
    expect(inForce('2025-01-01')).toContain('later');
    expect(inForce('2022-12-31')).toBe('  none in force on 2022-12-31');
    expect(describeConfig(config())).not.toContain('in force');
  });

  it.each([
    ['kind: flat, prices_per_kwh: [0.1, 0.2], blocks: { ends_kwh: [300] }', '0.1 then 0.2 EUR/kWh'],
    ['kind: slot-prices, series: day-ahead', 'slot prices of day-ahead'],
  ])('tells the prices of { %s }, and that charges come on top', (energy, words) => {
    const text = describeConfig(
      config({
        swap: '    energy: { kind: flat, price_per_kwh: 0.12 }',
        by: `    energy: { ${energy} }\n    charges: [{ name: VAT, percent: 24 }]`,
      }),
    );
    expect(text).toContain(`early  ${words}, before 1 charge\n`);
  });

  it('says what is off and what is missing', () => {
    const text = describeConfig(
      config(
        { swap: 'rooms:\n', by: 'web: { enabled: false }\nrooms:\n' },
        {
          swap: "  webhooks:\n    bell: { url: 'https://bell.example/hook' }",
          by: '  mqtt: { enabled: false }',
        },
        { swap: 'mat-side: { tank: mat-den }', by: 'mat-side: { room: den }' },
        {
          swap: '    plug: socket-2\n    tank: mat-den',
          by: '    plug: socket-2\n    tank: upkeep',
        },
      ),
    );
    expect(text).toContain('page    off');
    expect(text).toContain('nowhere but on the page');
    expect(text).toContain('mat-den in den, kept at 20 to 34 °C, no probe\n  no device of its own');
    expect(text).toMatch(/mat +heat-mat +25 W +plug socket-2 +upkeep/);
  });

  const MOVING: Edit[] = [
    {
      swap: '    plug: socket-1\n    tank: reed-bed\n',
      by: "    plug: socket-1\n    tank: reed-bed\n    moved: [{ on: '2026-03-03', tank: mat-den }]\n    until: '2026-05-01'\n",
    },
    {
      swap: '    shares:\n      reed-bed: 0.7\n      mat-den: 0.1\n      upkeep: 0.2\n',
      by: `    divided: { by: outlets, outlets: { reed-bed: 3, upkeep: 1 } }
    moved:
      - { on: '2026-03-03', divided: { by: equal, among: [reed-bed, mat-den] } }
      - { on: '2026-03-05', divided: { by: volume, among: [reed-bed, mat-den] } }
      - { on: '2026-03-07', divided: { by: heat-need, among: [reed-bed], room_without_c: 11 } }
`,
    },
  ];

  it('puts a device where it is on the day, and says where it goes and until when', () => {
    const lines = (date: string) => describeConfig(config(...MOVING), on(date)).split('\n');
    const below = (title: RegExp, date: string) => {
      const all = lines(date);
      const start = all.findIndex((line) => title.test(line));
      return start < 0 ? [] : all.slice(start + 1, all.indexOf('', start)).join('\n');
    };
    expect(below(/^reed-bed in/, '2026-03-02')).toMatch(
      /reed-heater +heater +200 W +plug socket-1 +moves on 2026-03-03, until 2026-05-01/,
    );
    expect(below(/^reed-bed in/, '2026-03-03')).not.toContain('reed-heater');
    expect(below(/^mat-den in/, '2026-03-03')).toMatch(/reed-heater.* until 2026-05-01/);
    expect(below(/^no longer in use/, '2026-05-01')).toEqual([]);
    expect(below(/^no longer in use/, '2026-05-02')).toContain('reed-heater');
    expect(below(/^mat-den in/, '2026-05-02')).not.toContain('reed-heater');
  });

  it('says by which rule a device is divided on the day', () => {
    const blower = (date: string) =>
      describeConfig(config(...MOVING), on(date))
        .split('\n')
        .find((line) => line.includes('blower'))
        ?.replace(/.*reckoned +/, '');
    expect(blower('2026-03-02')).toBe('by outlets reed-bed 3, upkeep 1, moves on 2026-03-03');
    expect(blower('2026-03-04')).toBe('equally reed-bed, mat-den, moves on 2026-03-05');
    expect(blower('2026-03-05')).toBe('by volume reed-bed, mat-den, moves on 2026-03-07');
    expect(blower('2026-03-09')).toBe('by heat need reed-bed');
  });

  it('hands nothing to the terminal that it would obey', () => {
    const text = describeConfig(config({ swap: 'set_c: 25', by: 'name: "a\\e[31mb\\r\\nc"' }));
    expect(text.replaceAll('\n', '')).not.toMatch(/\p{Cc}/u);
    expect(text).toContain('a\uFFFD[31mb\uFFFD\uFFFDc');
  });
});

describe('the whole configuration, shown', () => {
  it('is a configuration again, with the defaults written out', () => {
    const shown = showConfig(config());
    expect(parse(shown)).toEqual(JSON.parse(JSON.stringify(config())));
    expect(shown).toContain('limit_w: 3680');
    const again = parseConfig(shown, FILE, {});
    expect(again).toMatchObject({ ok: true, config: config() });
  });
});
