import { describe, expect, it } from 'vitest';
import { type Config, type ConfigChange, compareConfigs } from '../../src/config/index.ts';
import { type Edit, edited, load, SAMPLE } from './sample.ts';

function config(edits: readonly Edit[], env: Record<string, string> = {}): Config {
  const result = load(edited(SAMPLE, edits), env);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.config;
}

const changes = (...edits: Edit[]): readonly ConfigChange[] =>
  compareConfigs(config([]), config(edits));

describe('two configurations', () => {
  it('that are the same differ in nothing', () => {
    expect(changes()).toEqual([]);
  });

  it('differ where a value, an entry or a list is another', () => {
    expect(
      changes(
        { swap: 'nameplate_w: 200', by: 'nameplate_w: 150' },
        { swap: 'set_c: 25\n', by: 'lid: false\n' },
        { swap: 'porch: {}', by: 'porch: {}\n  attic: { name: Attic }' },
        { swap: 'sentinels: [85, -127]', by: 'sentinels: [85]' },
        { swap: "from: '09:00', to: '19:00'", by: "from: '09:00', to: '20:00'" },
      ),
    ).toEqual([
      { path: 'rooms.attic', change: 'added', restart: false },
      { path: 'tanks.reed-bed.lid', change: 'changed', restart: false },
      { path: 'tanks.reed-bed.set_c', change: 'removed', restart: false },
      { path: 'devices.reed-heater.nameplate_w', change: 'changed', restart: false },
      { path: 'devices.lamp.schedule[0].to', change: 'changed', restart: false },
      { path: 'feeds.probes.values[0].sentinels', change: 'changed', restart: false },
    ]);
  });

  const NEEDS_RESTART: [string, Edit][] = [
    ['site.id', { swap: 'id: heron-lane', by: 'id: heron-road' }],
    ['site.time_zone', { swap: 'time_zone: Europe/Helsinki\n', by: 'time_zone: Europe/Oslo\n' }],
    ['broker.url', { swap: '127.0.0.1:1883', by: '127.0.0.1:1884' }],
    ['store.group_time_s', { swap: 'group_time_s: 5', by: 'group_time_s: 6' }],
    ['store.file', { swap: 'store:\n', by: 'store:\n  file: other.db\n' }],
    ['web.port', { swap: 'rooms:\n', by: 'web: { port: 9000 }\nrooms:\n' }],
    ['publish.root', { swap: 'rooms:\n', by: 'publish: { root: house }\nrooms:\n' }],
    ['log.level', { swap: 'rooms:\n', by: 'log: { level: debug }\nrooms:\n' }],
  ];
  for (const [path, edit] of NEEDS_RESTART) {
    it(`need a restart when ${path} is another`, () => {
      expect(changes(edit)).toMatchObject([{ path, restart: true }]);
    });
  }

  it('need none for a tariff, a feed, a watch, a webhook or the name of the site', () => {
    const found = changes(
      { swap: 'price_per_kwh: 0.12', by: 'price_per_kwh: 0.13' },
      { swap: 'topic: air/{probe}', by: 'topic: airs/{probe}' },
      { swap: 'https://bell.example/hook', by: 'https://bell.example/other' },
      { swap: 'locale: en-FI', by: 'locale: en-FI\n  name: Heron Lane' },
      { swap: 'rooms:\n', by: 'watches: { silence: { intervals: 5 } }\nrooms:\n' },
    );
    expect(found).toHaveLength(5);
    expect(found.every(({ restart }) => !restart)).toBe(true);
  });

  it('tell that a secret is another, and not which', () => {
    const edits = [{ swap: '  silence_limit_s: 120\n', by: '  password: ${env:WORD}\n' }];
    const found = compareConfigs(
      config(edits, { WORD: 'heron' }),
      config(edits, { WORD: 'egret' }),
    );
    expect(found).toEqual([{ path: 'broker.password', change: 'changed', restart: true }]);
  });
});
