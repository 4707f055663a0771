import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { type Config, formatProblems, loadConfig } from '../../src/config/index.ts';
import { jsonSchema } from '../../src/config/schema-keys.ts';
import { referenceText, rowsOf, schemaText } from '../tools/config-reference.ts';

const ROOT = new URL('../../', import.meta.url);
const read = (path: string): string => readFileSync(new URL(path, ROOT), 'utf8');
const EXAMPLES = readdirSync(new URL('config/', ROOT)).filter((file) => file.endsWith('.yaml'));

function shipped(file: string): Config {
  const result = loadConfig(fileURLToPath(new URL(`config/${file}`, ROOT)), {});
  if (!result.ok) throw new Error(formatProblems(result.problems));
  expect(formatProblems(result.warnings)).toBe('');
  return result.config;
}

describe('the shipped configurations', () => {
  it('are the starter and the fish room', () => {
    expect(EXAMPLES).toEqual(['fish-room.yaml', 'starter.yaml']);
  });

  for (const file of EXAMPLES) {
    it(`${file} loads without a warning, and tells editors where its schema is`, () => {
      shipped(file);
      expect(read(`config/${file}`).split('\n')[0]).toBe(
        '# yaml-language-server: $schema=./ampulla.schema.json',
      );
    });
  }

  it('the starter needs nothing besides: embedded broker, some devices with and without a plug', () => {
    const { broker, devices } = shipped('starter.yaml');
    expect(broker.kind).toBe('embedded');
    const plugged = Object.values(devices).map(({ plug }) => plug !== undefined);
    expect(new Set(plugged)).toEqual(new Set([true, false]));
    expect(plugged.length).toBeLessThan(10);
  });

  it('the fish room has everything that a fish room can have', () => {
    const { rooms, tanks, devices, plugs, probes, feeds, tariffs } = shipped('fish-room.yaml');
    const all = Object.values(devices);
    expect(Object.keys(rooms).length).toBeGreaterThanOrEqual(2);
    expect(Object.keys(tanks).length).toBeGreaterThanOrEqual(12);
    expect(all.length).toBeGreaterThanOrEqual(35);
    expect(all.length).toBeLessThanOrEqual(45);
    expect(Object.keys(plugs)).toHaveLength(36);
    expect(Object.keys(probes).length).toBeGreaterThanOrEqual(16);
    expect(all.filter(({ plug }) => plug === undefined).length).toBeGreaterThanOrEqual(5);
    expect(new Set(all.flatMap(({ divided }) => divided?.by ?? []))).toEqual(
      new Set(['outlets', 'heat-need']),
    );
    for (const kind of ['chiller', 'heat-mat', 'room-heater', 'air-pump', 'heater'] as const) {
      expect(all.map((device) => device.kind)).toContain(kind);
    }
    const values = Object.values(feeds).flatMap((feed) => feed.values);
    for (const measure of ['power', 'counter', 'temperature', 'humidity', 'presence'] as const) {
      expect(values.map((value) => value.measure)).toContain(measure);
    }
    const units = new Set(values.map((value) => ('unit' in value ? value.unit : '')));
    for (const unit of [
      'W',
      'kW',
      'mW',
      'Wh',
      'kWh',
      'Ws',
      'Wmin',
      'C',
      'F',
      'fraction',
    ] as const) {
      expect(units).toContain(unit);
    }
    expect(Object.values(feeds).some((feed) => feed.decimal_comma)).toBe(true);
    expect(Object.values(feeds).some((feed) => feed.time?.format === 'epoch-s')).toBe(true);
    const kinds = Object.values(tariffs).map(({ energy }) => energy.kind);
    expect(kinds).toEqual(['flat', 'time-of-use', 'time-of-use']);
    expect(tariffs['winter-day']).toMatchObject({ billing_day: 17, charges: { length: 3 } });
  });

  it('the fish room uses realistic wattages (common practice, no source)', () => {
    const limits: Partial<Record<string, [number, number]>> = {
      light: [20, 90],
      filter: [5, 25],
      'air-pump': [60, 60],
      'room-heater': [1500, 2000],
    };
    for (const [id, { kind, nameplate_w: watts, tank }] of Object.entries(
      shipped('fish-room.yaml').devices,
    )) {
      const [least, most] =
        kind === 'heater'
          ? tank === 'trough'
            ? [1500, 1500]
            : [50, 300]
          : (limits[kind] ?? [1, 2000]);
      expect(watts, id).toBeGreaterThanOrEqual(least);
      expect(watts, id).toBeLessThanOrEqual(most);
    }
  });
});

describe('what is made from the schema', () => {
  it('is in step with it (otherwise: node --import tsx tests/tools/write-docs.ts)', () => {
    expect(read('config/ampulla.schema.json')).toBe(schemaText());
    expect(read('docs/configuration.md')).toBe(referenceText());
  });

  it('describes every key', () => {
    const rows = Object.entries(jsonSchema().properties ?? {}).flatMap(([key, section]) =>
      rowsOf(key, section, true),
    );
    expect(rows.length).toBeGreaterThan(80);
    expect(rows.filter(({ meaning }) => meaning === '').map(({ key }) => key)).toEqual([]);
    expect(rows.filter(({ value }) => value === '').map(({ key }) => key)).toEqual([]);
  });

  it('allows no key that is not known, at any depth', () => {
    const open: string[] = [];
    const walk = (schema: unknown, path: string): void => {
      if (typeof schema !== 'object' || schema === null) return;
      if ('properties' in schema && !('additionalProperties' in schema)) open.push(path);
      for (const [key, part] of Object.entries(schema)) walk(part, `${path}/${key}`);
    };
    walk(jsonSchema(), '');
    expect(open).toEqual([]);
  });
});
