import { describe, expect, it } from 'vitest';
import { type Instant, instant, MINUTE } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import { createSights, lookAround, planWatches, see } from '../../src/watches/index.ts';

const kept = {
  housing: 'aquarium',
  walls: 'glass',
  lid: true,
  keep_c: { min: 24, max: 27 },
} as const;
const minutely = { reporting: 'interval', usual_interval_s: 60 } as const;

/** Two rooms alike, each with a tank, a heater and a probe in the air. */
const planWith = (overrides: unknown[]) =>
  planWatches({
    rooms: { den: {}, loft: {} },
    tanks: { moss: { ...kept, room: 'den' }, reed: { ...kept, room: 'loft' } },
    probes: {
      'den-air': { room: 'den', usual_interval_s: 60 },
      'loft-air': { room: 'loft', usual_interval_s: 60 },
    },
    plugs: { 'moss-plug': minutely, 'reed-plug': minutely },
    devices: {
      'moss-heater': { kind: 'heater', nameplate_w: 150, tank: 'moss', plug: 'moss-plug' },
      'reed-heater': { kind: 'heater', nameplate_w: 150, tank: 'reed', plug: 'reed-plug' },
    },
    watches: watchesConfig.parse({ overrides }),
  });

/** What is raised at the end of some hours, in which every source says what it is told to say. */
function raised(
  overrides: unknown[],
  minutes: number,
  said: (id: string, minute: number) => number | undefined,
): string[] {
  const plan = planWith(overrides);
  const sights = createSights(plan);
  const states = new Map<string, unknown>();
  const start = instant(Date.UTC(2026, 2, 3));
  let looks: ReturnType<typeof lookAround> = [];
  for (let minute = 0; minute < minutes; minute += 1) {
    const now = (start + minute * MINUTE) as Instant;
    for (const [from, measure, ids] of [
      ['probe', 'temperature', plan.probes.keys()],
      ['plug', 'power', plan.plugs.keys()],
    ] as const) {
      for (const id of ids) {
        const value = said(id, minute);
        if (value === undefined) continue;
        see(sights, { from, id, measure, value, at: now, arrived: now, retained: false });
      }
    }
    looks = lookAround(plan, sights, states, { now, connectedSince: start });
    for (const { key, state } of looks) states.set(key, state);
  }
  return looks.filter(({ finding }) => finding.verdict === 'raised').map(({ key }) => key);
}

describe('thresholds of their own', () => {
  it('let a plug and a room’s sources be silent for longer than others', () => {
    const falling = (id: string, minute: number) =>
      minute > 30 ? undefined : id.endsWith('air') ? 20 : 0;
    const all = ['plug-silent:moss-plug', 'plug-silent:reed-plug'];
    const probes = ['probe-silent:den-air', 'probe-silent:loft-air'];
    expect(raised([], 45, falling)).toEqual([...all, ...probes]);
    expect(raised([{ plugs: ['moss-plug'], silence: { at_least_min: 30 } }], 45, falling)).toEqual([
      'plug-silent:reed-plug',
      ...probes,
    ]);
    expect(raised([{ rooms: ['loft'], silence: { intervals: 20 } }], 45, falling)).toEqual([
      'plug-silent:moss-plug',
      'probe-silent:den-air',
    ]);
    expect(raised([{ rooms: ['loft'], silence: { intervals: 20 } }], 60, falling)).toEqual([
      ...all,
      ...probes,
    ]);
  });

  it('let the air of one room fall further than that of another', () => {
    const cooling = (id: string, minute: number) =>
      id.endsWith('air') ? 20 - Math.max(0, minute - 120) * 0.03 : 0;
    expect(raised([], 240, cooling)).toEqual(['room-cooling:den', 'room-cooling:loft']);
    expect(raised([{ rooms: ['loft'], room_cooling: { fall_k: 4 } }], 240, cooling)).toEqual([
      'room-cooling:den',
    ]);
    expect(raised([{ rooms: ['loft'], room_cooling: { within_min: 30 } }], 240, cooling)).toEqual([
      'room-cooling:den',
    ]);
  });
});
