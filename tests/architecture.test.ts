import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const SRC = fileURLToPath(new URL('../src', import.meta.url));

/** Room → rooms it may import. 'types' in the design means `import type` only. */
const ROOMS: Record<string, { may: string[]; typesOnly?: string[] }> = {
  units: { may: [] },
  readings: { may: ['units'] },
  metering: { may: ['units', 'readings'] },
  tariff: { may: ['units'] },
  shares: { may: ['units'] },
  books: { may: ['units', 'metering', 'tariff', 'shares'] },
  heat: { may: ['units'], typesOnly: ['books'] },
  watches: { may: ['units', 'readings', 'metering', 'heat'] },
  alerts: { may: ['units'], typesOnly: ['watches'] },
  review: { may: ['units', 'books', 'alerts'], typesOnly: ['heat'] },
  alternatives: { may: ['units', 'books', 'heat', 'tariff'] },
};

const EDGES = [
  'mqtt',
  'storage',
  'series',
  'notify',
  'web',
  'telemetry',
  'simulator',
  // The books as files for other programs: formats change without touching the books.
  'exports',
  // What utilities publish: formats that others chose, read by one door.
  'imports',
];

/** Package → where it may be imported, and why. */
const PACKAGES: { name: string; where: RegExp; because: string }[] = [
  { name: 'mqtt', where: /^mqtt\//, because: 'one edge speaks MQTT' },
  {
    name: 'aedes',
    where: /^mqtt\/embedded-broker\//,
    because: 'the embedded broker is replaceable',
  },
  { name: 'better-sqlite3', where: /^storage\//, because: 'one edge owns the database' },
  { name: 'influx', where: /^series\//, because: 'the series store is a mirror' },
  { name: 'nodemailer', where: /^notify\//, because: 'one edge sends mail' },
  { name: 'node-cron', where: /^app\/schedule\.ts$/, because: 'one place decides when to wake' },
  { name: 'pino', where: /^telemetry\//, because: 'rooms get a Logger handed in' },
  { name: 'fastify', where: /^web\//, because: 'one edge serves pages' },
  { name: 'preact', where: /^web\//, because: 'one edge serves pages' },
  { name: 'preact-render-to-string', where: /^web\//, because: 'one edge serves pages' },
  {
    name: 'sax',
    where: /^imports\/espi\//,
    because: 'a hostile file meets one parser with limits',
  },
  { name: 'csv-parse', where: /^imports\/csv\//, because: 'one edge reads foreign tables' },
  { name: 'yaml', where: /^(config\/|readings\/|app\/)/, because: 'the file format is config’s' },
  { name: 'temporal-polyfill', where: /^units\//, because: 'one calendar' },
  {
    name: 'zod',
    where: /(\/config\.ts|^readings\/feeds[^/]*\.ts|^web\/.*|^config\/.*)$/,
    because: 'schemas stand beside their owner; inside, values are already checked',
  },
];

interface Import {
  readonly file: string;
  readonly target: string;
  readonly type: boolean;
}

function sourceFiles(): string[] {
  return readdirSync(SRC, { recursive: true, encoding: 'utf8' })
    .filter((file) => /\.tsx?$/.test(file))
    .map((file) => file.replaceAll('\\', '/'));
}

function withoutComments(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|[^:'"`])\/\/.*$/gm, '$1');
}

function importsOf(file: string): Import[] {
  const text = withoutComments(readFileSync(join(SRC, file), 'utf8'));
  const pattern =
    /(?:^|\n)\s*(?:import|export)\s+(type\s+)?(?:[^'";]*?\sfrom\s+)?'([^']+)'|import\(\s*'([^']+)'\s*\)/g;
  return [...text.matchAll(pattern)].map((match) => ({
    file,
    target: match[2] ?? match[3] ?? '',
    type: match[1] !== undefined || onlyTypes(match[0]),
  }));
}

/** `import { type A, type B }` brings nothing in at run time. */
function onlyTypes(statement: string): boolean {
  const names = statement
    .match(/\{([^}]*)\}/)?.[1]
    ?.split(',')
    .filter((name) => name.trim() !== '');
  return names !== undefined && names.length > 0 && names.every((name) => /^\s*type\s/.test(name));
}

const place = (file: string): string => (file.includes('/') ? (file.split('/')[0] ?? '') : file);

const files = sourceFiles();
const imports = files.flatMap(importsOf);

interface Crossing extends Import {
  readonly from: string;
  readonly to: string;
  readonly inside: string;
}

const crossings: Crossing[] = imports
  .filter(({ target }) => target.startsWith('.'))
  .map((found) => {
    const inside = relative(SRC, resolve(SRC, dirname(found.file), found.target));
    return { ...found, from: place(found.file), to: place(inside), inside };
  })
  .filter(({ from, to }) => from !== to);

const broken = (rows: Import[]): string[] => rows.map(({ file, target }) => `${file} → ${target}`);

describe('the house keeps its order', () => {
  it('sees the imports at all', () => {
    expect(files.length).toBeGreaterThan(30);
    expect(imports.length).toBeGreaterThan(files.length);
  });

  it('has only the rooms and edges of the plan', () => {
    const known = new Set([...Object.keys(ROOMS), ...EDGES, 'config', 'app', 'main.ts']);
    expect(
      [...new Set(files.map(place))].filter((name) => !known.has(name) && name !== 'tsconfig.json'),
    ).toEqual([]);
  });

  it('lets energy flow one way: a room imports only rooms before it', () => {
    const wrong = crossings.filter(({ from, to, type, file, inside }) => {
      const room = ROOMS[from];
      if (room === undefined) return false;
      // A config schema may reuse the schemas that its room is built on.
      if (file.endsWith('/config.ts') && inside.endsWith('/config.ts')) {
        return ![...room.may, 'units'].includes(to);
      }
      return !(room.may.includes(to) || (type && (room.typesOnly ?? []).includes(to)));
    });
    expect(broken(wrong)).toEqual([]);
  });

  it('keeps edges apart, so that each can be replaced alone', () => {
    const wrong = crossings.filter(
      ({ from, to }) =>
        EDGES.includes(from) && (EDGES.includes(to) || to === 'app' || to === 'config'),
    );
    expect(broken(wrong)).toEqual([]);
  });

  it('lets config read nothing but the config.ts files and units', () => {
    const wrong = crossings.filter(
      ({ from, to, inside }) =>
        from === 'config' && to !== 'units' && !/^[a-z]+\/config\.ts$/.test(inside),
    );
    expect(broken(wrong)).toEqual([]);
  });

  it('enters a room through its index.ts', () => {
    const wrong = crossings.filter(({ from, to, inside, file, type }) => {
      if (to === 'main.ts') return true;
      if (/\/index\.ts$/.test(inside) || from === 'config') return false;
      if (inside === 'mqtt/embedded-broker/index.ts') return false;
      // Config types and schemas are named by their owner's neighbors; nothing else is.
      return !(/^[a-z]+\/config\.ts$/.test(inside) && (file.endsWith('/config.ts') || type));
    });
    expect(broken(wrong)).toEqual([]);
  });

  it('keeps time, chance and the machine out of pure rooms', () => {
    const forbidden =
      /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bsetTimeout\b|\bsetInterval\b|\bprocess\.|from 'node:|\bperformance\./;
    const wrong = files
      .filter((file) => place(file) in ROOMS)
      .filter((file) => forbidden.test(withoutComments(readFileSync(join(SRC, file), 'utf8'))));
    expect(wrong).toEqual([]);
  });

  it.each(PACKAGES)('imports $name only where it belongs: $because', ({ name, where }) => {
    const wrong = imports.filter(
      ({ file, target }) => (target === name || target.startsWith(`${name}/`)) && !where.test(file),
    );
    expect(broken(wrong)).toEqual([]);
  });

  it('imports no package that package.json does not name', () => {
    const manifest = JSON.parse(readFileSync(join(SRC, '../package.json'), 'utf8'));
    const named = new Set(Object.keys(manifest.dependencies));
    const wrong = imports.filter(({ target }) => {
      if (target.startsWith('.') || target.startsWith('node:')) return false;
      const parts = target.split('/');
      return !named.has(target.startsWith('@') ? `${parts[0]}/${parts[1]}` : (parts[0] ?? ''));
    });
    expect(broken(wrong)).toEqual([]);
  });

  it('has no drawer for odds and ends, and no file too long to read', () => {
    const drawers = files.filter((file) =>
      /(^|\/)(utils?|common|helpers?|misc|types)(\.tsx?$|\/)/.test(file),
    );
    const long = files.filter(
      (file) => readFileSync(join(SRC, file), 'utf8').split('\n').length > 400,
    );
    expect({ drawers, long }).toEqual({ drawers: [], long: [] });
  });

  it('exports by name', () => {
    const wrong = files.filter((file) =>
      /\bexport default\b/.test(readFileSync(join(SRC, file), 'utf8')),
    );
    expect(wrong).toEqual([]);
  });
});
