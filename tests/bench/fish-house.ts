import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { stringify } from 'yaml';
import { LOADS, loadOf, risesOf, type StreamPlan, socketOf } from './stream.ts';

/** A folder with the configuration of an invented fish house: five plugs a tank. */
export interface FishHouse {
  readonly file: string;
  readonly store: string;
  remove(): void;
}

export function buildFishHouse(plugs: number, brokerPort: number): FishHouse {
  const folder = mkdtempSync(join(tmpdir(), 'ampulla-bench-'));
  const file = join(folder, 'fish-house.yaml');
  const all = Array.from({ length: plugs }, (_, plug) => plug);
  const tankOf = (plug: number): string => `tank-${Math.floor(plug / LOADS.length) + 1}`;
  const config = {
    site: { id: 'weir-house', time_zone: 'Europe/Tallinn', currency: 'EUR' },
    broker: { kind: 'external', url: `mqtt://127.0.0.1:${brokerPort}` },
    web: { port: 0 },
    store: { file: 'books.db' },
    rooms: { hall: {} },
    tanks: Object.fromEntries(
      all.map((plug) => [
        tankOf(plug),
        { room: 'hall', volume_l: 180, keep_c: { min: 23, max: 27 }, set_c: 25 },
      ]),
    ),
    plugs: Object.fromEntries(all.map((plug) => [`wall-${socketOf(plug)}`, { limit_w: 1800 }])),
    devices: Object.fromEntries(
      all.map((plug) => {
        const { kind, watts } = loadOf(plug);
        const at = { plug: `wall-${socketOf(plug)}`, tank: tankOf(plug) };
        return [deviceOf(plug), { kind, nameplate_w: watts, ...at }];
      }),
    ),
    feeds: {
      'wall-report': {
        topic: 'fish/wall/{socket}/report',
        values: [
          { measure: 'counter', plug: 'wall-{socket}', at: '/meter/sum_kwh', unit: 'kWh' },
          { measure: 'power', plug: 'wall-{socket}', at: '/meter/draw_w', unit: 'W' },
        ],
        time: { at: '/clock', format: 'iso' },
      },
    },
    tariffs: {
      house: { valid_from: '2010-01-01', energy: { kind: 'flat', price_per_kwh: 0.21 } },
    },
  };
  writeFileSync(file, stringify(config, { aliasDuplicateObjects: false }));
  return {
    file,
    store: join(folder, 'books.db'),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

const deviceOf = (plug: number): string => `gear-${socketOf(plug)}`;

/**
 * Looks into the closed store with plain SQL: the books must hold, for every plug, exactly what its
 * counter rose by in the stream, and nothing of the stream may have been refused.
 *
 * @throws Error when anything is missing, doubled or refused.
 */
export function checkBooks(store: string, plan: StreamPlan): void {
  const db = new Database(store, { readonly: true });
  try {
    const refused = db
      .prepare('SELECT reason, sum(times) AS times FROM refusals GROUP BY reason')
      .all();
    if (refused.length > 0) throw new Error(`refused: ${JSON.stringify(refused)}`);
    const booked = new Map(
      db
        .prepare<[], [string, number]>(`
          SELECT id, sum(energy_mwh) FROM entries JOIN names ON ref = device_ref
          WHERE known = 0 GROUP BY id`)
        .raw()
        .all(),
    );
    for (const [plug, rise] of risesOf(plan).entries()) {
      const found = booked.get(deviceOf(plug)) ?? 0;
      if (found === rise) continue;
      throw new Error(`${deviceOf(plug)}: counter rose by ${rise} mWh, books hold ${found} mWh`);
    }
  } finally {
    db.close();
  }
}
