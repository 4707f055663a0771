import { EMPTY_MEMORY, judge } from '../../src/alerts/index.ts';
import { DAY, HOUR, type Instant, instant, MINUTE } from '../../src/units/index.ts';
import { watchesConfig } from '../../src/watches/config.ts';
import {
  createSights,
  type ExpectedDuty,
  lookAround,
  type Moment,
  planWatches,
  type SavedSight,
  savedSights,
  see,
} from '../../src/watches/index.ts';
import { glassTank } from './tanks.ts';

/** What each source says in a minute: °C of probes, W of plugs. Undefined: it is silent. */
export type Said = Readonly<Record<keyof typeof SOURCES, number | undefined>>;

/** A day, or some days, in the life of the site, with something at a threshold. */
export interface Scene {
  /** What differs from the usual; `minute` counts from its midnight. */
  readonly day: (minute: number, shake: () => number) => Partial<Said>;
  readonly days?: number;
  /** How often everything speaks and all watches look, ms; two minutes unless told. */
  readonly step?: number;
  readonly duty?: (minute: number, shake: () => number) => ExpectedDuty;
  readonly costs?: (minute: number, shake: () => number) => NonNullable<Moment['costs']>;
}

const SOURCES = {
  water: 'probe',
  air: 'probe',
  sand: 'probe',
  heater: 'plug',
  chiller: 'plug',
  filter: 'plug',
  bubbler: 'plug',
  lamp: 'plug',
  mat: 'plug',
} as const;
const KEYS = Object.keys(SOURCES) as (keyof typeof SOURCES)[];

const inTank = (kind: string, nameplate_w: number, plug: string, tank = 'moss') => ({
  kind,
  nameplate_w,
  plug,
  tank,
});
const plug = { reporting: 'interval', usual_interval_s: 60 } as const;
const probe = { usual_interval_s: 60 };

/** A fish room with one of everything that is watched. Its wall clock shows UTC all year. */
const plan = planWatches({
  site: { time_zone: 'Atlantic/Reykjavik' },
  rooms: { den: {} },
  tanks: {
    moss: { ...glassTank, set_c: 25.2 },
    dune: {
      room: 'den',
      housing: 'terrarium',
      walls: 'glass',
      lid: true,
      keep_c: { min: 26, max: 32 },
    },
  },
  probes: {
    water: { tank: 'moss', ...probe },
    air: { room: 'den', ...probe },
    sand: { tank: 'dune', ...probe },
  },
  plugs: Object.fromEntries(
    KEYS.filter((key) => SOURCES[key] === 'plug').map((key) => [key, plug]),
  ),
  devices: {
    heater: inTank('heater', 150, 'heater'),
    chiller: inTank('chiller', 200, 'chiller'),
    filter: inTank('filter', 12, 'filter'),
    bubbler: inTank('air-pump', 4, 'bubbler'),
    lamp: { ...inTank('light', 40, 'lamp'), schedule: [{ from: '08:00', to: '20:00' }] },
    mat: inTank('heat-mat', 20, 'mat', 'dune'),
  },
  watches: watchesConfig.parse({ cost_ahead: { budget_per_month: 100 } }),
} as Parameters<typeof planWatches>[0]);

/** 40 minutes off while the water falls from 25.4 to 25.0 °C, 20 on while it rises again. */
export function thermostat(minute: number): { readonly water: number; readonly heater: number } {
  const phase = minute % 60;
  return phase < 40
    ? { water: 25.4 - (0.4 * phase) / 40, heater: 0 }
    : { water: 25 + (0.4 * (phase - 40)) / 20, heater: 148 };
}

const usualAt = (minute: number): Said => ({
  ...thermostat(minute),
  air: 20,
  sand: 28 + 0.5 * Math.sin(minute / 30),
  chiller: 0,
  filter: 12,
  bubbler: 4,
  lamp: minute % (DAY / MINUTE) >= 8 * 60 && minute % (DAY / MINUTE) < 20 * 60 ? 40 : 0,
  mat: minute % 30 < 10 ? 20 : 0,
});

/** Seeded noise, near enough to a bell curve of deviation 1. */
export function noise(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  return () => (uniform() + uniform() + uniform() + uniform() - 2) * Math.sqrt(3);
}

const START = instant(Date.UTC(2026, 5, 1));
const LEARNING = 8 * DAY;
const DAWN = instant(START + LEARNING);

function say(sights: ReturnType<typeof createSights>, said: Said, now: Instant): void {
  for (const id of KEYS) {
    const value = said[id];
    if (value === undefined) continue;
    const from = SOURCES[id];
    const measure = from === 'probe' ? 'temperature' : 'power';
    see(sights, { from, id, measure, value, at: now, arrived: now, retained: false });
  }
}

/** What is known after eight usual days, in which nobody was told anything. */
function learn(): { readonly sights: readonly SavedSight[]; readonly states: [string, unknown][] } {
  const sights = createSights(plan);
  const states = new Map<string, unknown>();
  for (let passed = 0; passed < LEARNING; passed += MINUTE) {
    const now = instant(START + passed);
    say(sights, usualAt(passed / MINUTE), now);
    if (passed % (5 * MINUTE) !== 0) continue;
    for (const { key, state, finding } of lookAround(plan, sights, states, {
      now,
      connectedSince: START,
    })) {
      if (finding.verdict === 'raised') throw new Error(`${key} in its usual life`);
      states.set(key, state);
    }
  }
  return { sights: savedSights(sights), states: throughJson([...states]) };
}

const throughJson = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

let learned: ReturnType<typeof learn> | undefined;

/** Lets the scene happen; how often each alert ('WATCH:SUBJECT') was told to open and to close. */
export function tellings(scene: Scene, seed: number) {
  learned ??= learn();
  const { day, days = 1, step = 2 * MINUTE, duty, costs } = scene;
  const sights = createSights(plan, learned.sights);
  const states = new Map(throughJson(learned.states));
  const shake = noise(seed);
  const opened = new Map<string, number>();
  const closed = new Map<string, number>();
  let memory = EMPTY_MEMORY;
  for (let passed = 0; passed < days * DAY; passed += step) {
    const now = instant(DAWN + passed);
    const minute = passed / MINUTE;
    say(sights, { ...usualAt(minute), ...day(minute, shake) }, now);
    const expected = duty?.(minute, shake);
    const looks = lookAround(plan, sights, states, {
      now,
      connectedSince: START,
      expectedDuty: expected && new Map([['moss', expected]]),
      costs: costs?.(minute, shake),
    });
    for (const { key, state } of looks) states.set(key, state);
    const judgment = judge(memory, looks, now);
    memory = judgment.memory;
    for (const { alert, change } of judgment.news) {
      const counts = change === 'opened' ? opened : change === 'closed' ? closed : undefined;
      const key = `${alert.watch}:${alert.subject.id}`;
      counts?.set(key, (counts.get(key) ?? 0) + 1);
    }
  }
  return { opened, closed };
}

/** Midnight of the scene, for what is dated. */
export const at = (minute: number): Instant => instant(DAWN + minute * MINUTE);
export const HOURS = HOUR / MINUTE;
