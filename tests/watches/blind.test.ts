import { describe, expect, it } from 'vitest';
import { type Instant, instant, MINUTE } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import type { GearSite } from '../../src/watches/gear-plan.ts';
import {
  blindWithout,
  createSights,
  lookAround,
  planWatches,
  type Subject,
  see,
  type WatchedSite,
} from '../../src/watches/index.ts';
import { fitted } from './fitted.ts';
import { glassTank as tank } from './tanks.ts';

const speaks = { reporting: 'interval', usual_interval_s: 60 } as const;
const heater = { kind: 'heater', nameplate_w: 150 };

/** One of everything, in the invented den. */
const den: WatchedSite & GearSite = {
  site: { time_zone: 'America/Winnipeg' },
  rooms: { den: {}, shed: {} },
  tanks: {
    reed: tank,
    newt: tank,
    twin: tank,
    sand: { ...tank, housing: 'terrarium', volume_l: undefined },
    bare: { ...tank, room: 'shed' },
  },
  probes: {
    'reed-water': { tank: 'reed', usual_interval_s: 60 },
    'newt-left': { tank: 'newt', usual_interval_s: 60 },
    'newt-right': { tank: 'newt', usual_interval_s: 60 },
    'twin-water': { tank: 'twin', usual_interval_s: 60 },
    'sand-spot': { tank: 'sand', usual_interval_s: 60 },
    'den-air': { room: 'den', usual_interval_s: 60 },
  },
  plugs: {
    ...{ 'reed-1': speaks, 'reed-2': speaks, 'reed-3': speaks, 'reed-4': speaks, 'reed-5': speaks },
    ...{ 'newt-1': speaks, 'twin-1': speaks, 'twin-2': speaks, 'sand-1': speaks },
    ...{ 'bare-1': speaks, strip: speaks },
  },
  devices: {
    'reed-heater': { ...heater, tank: 'reed', plug: 'reed-1' },
    'reed-chiller': { kind: 'chiller', nameplate_w: 90, tank: 'reed', plug: 'reed-2' },
    'reed-filter': { kind: 'filter', nameplate_w: 12, tank: 'reed', plug: 'reed-3' },
    'reed-air': { kind: 'air-pump', nameplate_w: 4, tank: 'reed', plug: 'reed-4' },
    'reed-lamp': {
      ...{ kind: 'light', nameplate_w: 30, tank: 'reed', plug: 'reed-5' },
      schedule: [{ from: '08:00', to: '18:00' }],
    },
    'newt-heater': { ...heater, tank: 'newt', plug: 'newt-1' },
    'twin-left': { ...heater, tank: 'twin', plug: 'twin-1' },
    'twin-right': { ...heater, tank: 'twin', plug: 'twin-2' },
    'sand-mat': { kind: 'heat-mat', nameplate_w: 20, tank: 'sand', plug: 'sand-1' },
    'bare-heater': { ...heater, tank: 'bare', plug: 'bare-1' },
    'newt-filter': { kind: 'filter', nameplate_w: 8, tank: 'newt', plug: 'strip' },
    'newt-lamp': { kind: 'light', nameplate_w: 20, tank: 'newt', plug: 'strip' },
  },
  watches: watchesConfig.parse({}),
};
const plan = planWatches(den);
const plug = (id: string): Subject => ({ kind: 'plug', id });
const probe = (id: string): Subject => ({ kind: 'probe', id });
const SOURCES = [...Object.keys(den.plugs).map(plug), ...Object.keys(den.probes).map(probe)];

const listed = (silent: readonly Subject[], others: readonly Subject[] = []): string[] =>
  blindWithout(plan, silent, ({ id }) => others.some((other) => other.id === id)).map(
    ({ watch, subject }) => `${watch}:${subject.id}`,
  );

describe('what nobody would notice while something is silent', () => {
  it('is all of a heater when its plug is, and what goes by the heat of its tank', () => {
    expect(listed([plug('newt-1')])).toEqual([
      'heater-stuck-on:newt-heater',
      'heater-not-heating:newt-heater',
      'heater-overmatched:newt-heater',
      'heater-drifting:newt-heater',
      'heater-unheard:newt-heater',
      'heater-weak:newt-heater',
      'heater-chattering:newt-heater',
      'probe-frozen:newt-left',
      'probe-frozen:newt-right',
      'duty-unexplained:newt',
      'expensive-night:newt',
    ]);
  });

  it('is a chiller’s quarrel with the heater when either is', () => {
    expect(listed([plug('reed-1')])).toContain('heater-against-chiller:reed-heater');
    expect(listed([plug('reed-2')])).toEqual(['heater-against-chiller:reed-heater']);
  });

  it('is what moves the water, lights it, or lies under it', () => {
    const heat = ['duty-unexplained:reed', 'expensive-night:reed'];
    expect(listed([plug('reed-3')])).toEqual([
      'pump-stopped:reed-filter',
      'pump-laboring:reed-filter',
      ...heat,
    ]);
    expect(listed([plug('reed-4')])).toEqual(['air-stopped:reed-air', ...heat]);
    expect(listed([plug('reed-5')])).toEqual(['light-off-plan:reed-lamp', ...heat]);
    expect(listed([plug('sand-1')])).toEqual(['mat-overheating:sand-mat']);
  });

  it('is the tank, what warms it and the mat below it when the only probe there is', () => {
    expect(listed([probe('reed-water')])).toEqual([
      'tank-too-warm:reed',
      'tank-too-cold:reed',
      'heater-stuck-on:reed-heater',
      'heater-not-heating:reed-heater',
      'heater-overmatched:reed-heater',
      'heater-drifting:reed-heater',
      'heater-unheard:reed-heater',
      'duty-unexplained:reed',
      'expensive-night:reed',
    ]);
    expect(listed([probe('sand-spot')])).toEqual([
      'tank-too-warm:sand',
      'tank-too-cold:sand',
      'mat-overheating:sand-mat',
    ]);
  });

  it('is the room, and what can only be told against its air, when the room’s probe is', () => {
    expect(listed([probe('den-air')])).toEqual([
      'room-cooling:den',
      'heater-unheard:reed-heater',
      'duty-unexplained:reed',
      'expensive-night:reed',
      'heater-unheard:newt-heater',
      'duty-unexplained:newt',
      'expensive-night:newt',
      'heater-unheard:twin-left',
      'heater-unheard:twin-right',
      'duty-unexplained:twin',
      'expensive-night:twin',
    ]);
  });

  it('is nothing when another probe stands in for it, unless that is silent too', () => {
    expect(listed([probe('newt-left')])).toEqual([]);
    expect(listed([probe('newt-left')], [probe('newt-right')])).toContain('tank-too-warm:newt');
    expect(listed([probe('newt-left'), probe('newt-right')])).toContain('tank-too-warm:newt');
    expect(listed([plug('twin-1')])).not.toContain('probe-frozen:twin-water');
    expect(listed([plug('twin-1'), plug('twin-2')])).toContain('probe-frozen:twin-water');
  });

  it('is nothing that was blind before: on a strip, or without a probe', () => {
    expect(listed([plug('strip')])).toEqual([]);
    expect(listed([plug('bare-1')])).toEqual([
      'heater-stuck-on:bare-heater',
      'heater-weak:bare-heater',
      'heater-chattering:bare-heater',
    ]);
  });

  it('is told once of each when many are silent', () => {
    const all = listed(SOURCES);
    expect(new Set(all).size).toBe(all.length);
    expect(blindWithout(plan, [{ kind: 'room', id: 'den' }])).toEqual([]);
  });
});

/** What the watches say after three hours in which all but these have spoken, two of them without. */
function verdicts(silent: readonly Subject[]): Map<string, string> {
  const sights = createSights(plan);
  const start = instant(Date.UTC(2026, 2, 3, 15));
  const gone = new Set(silent.map(({ id }) => id));
  const say = (from: 'plug' | 'probe', id: string, value: number, at: Instant) => {
    const measure = from === 'plug' ? 'power' : 'temperature';
    see(sights, { from, id, measure, value, at, arrived: at, retained: false });
  };
  let now = start;
  for (let minute = 0; minute < 180; minute += 1) {
    now = instant(start + minute * MINUTE);
    const heats = minute % 60 >= 40;
    const water = heats ? 25 + (minute % 20) / 50 : 25.4 - (minute % 40) / 100;
    for (const [id, { plug: on = '', nameplate_w: watts, kind }] of Object.entries(den.devices)) {
      if (on === 'strip' || (minute >= 60 && gone.has(on))) continue;
      say('plug', on, (kind === 'heater' && !heats) || id === 'reed-chiller' ? 0 : watts, now);
    }
    for (const [id, { room }] of Object.entries(den.probes)) {
      if (minute < 60 || !gone.has(id)) say('probe', id, room === undefined ? water : 20, now);
    }
  }
  const duty = { duty: 0.33, low: 0.2, high: 0.5 };
  const looks = lookAround(plan, sights, new Map(), {
    now,
    connectedSince: start,
    expectedDuty: new Map(['reed', 'newt', 'twin'].map((id) => [id, duty])),
    fits: new Map([['reed', fitted()]]),
  });
  return new Map(looks.map(({ key, finding }) => [key, finding.verdict]));
}

describe('the watches themselves', () => {
  const usual = verdicts([]);
  /** These go by the books, or first notice when the probe has stood still. */
  const later =
    /^(duty-unexplained|expensive-night|probe-frozen|plug-silent|probe-silent|power-cut):/;

  it.each(SOURCES)(
    'know nothing without $kind $id where this says so, and nowhere else',
    (source) => {
      const without = verdicts([source]);
      const lost = [...without]
        .filter(([key, verdict]) => verdict === 'unknown' && usual.get(key) !== 'unknown')
        .map(([key]) => key)
        .filter((key) => !later.test(key));
      const said = listed([source]).filter((key) => !later.test(key));
      expect(said).toEqual(expect.arrayContaining(lost));
      for (const key of said) expect(`${key} ${without.get(key)}`).toBe(`${key} unknown`);
    },
  );

  it('are not all unknown anyway', () => {
    const known = [...usual].filter(([, verdict]) => verdict !== 'unknown').map(([key]) => key);
    const watches = new Set(known.map((key) => key.replace(/:.*/, '')));
    expect([...watches]).toEqual(
      expect.arrayContaining([
        ...['heater-against-chiller', 'heater-chattering', 'heater-not-heating', 'heater-unheard'],
        ...['heater-overmatched', 'heater-stuck-on', 'light-off-plan', 'mat-overheating'],
        ...['room-cooling', 'tank-too-cold', 'tank-too-warm'],
      ]),
    );
  });
});
