import {
  type AlertMemory,
  DEFAULT_POLICY,
  EMPTY_MEMORY,
  type Judgment,
  judge,
  type Look,
  type Policy,
  readMemory,
} from '../../src/alerts/index.ts';
import { type Instant, instant, later, MINUTE, type Millis } from '../../src/units/index.ts';
import type { Evidence, Finding } from '../../src/watches/index.ts';

/** 03:14 on a winter's night in Winnipeg. */
export const NIGHT: Instant = instant(Date.UTC(2026, 10, 25, 9, 14));

export const minutes = (count: number): Millis => (count * MINUTE) as Millis;

export const evidence = (
  what: string,
  value: number,
  unit: Evidence['unit'],
  at: Instant | undefined = undefined,
): Evidence => ({ what, value, unit, at });

export const finding = (changes: Partial<Finding> = {}): Finding => ({
  verdict: 'raised',
  severity: 'warning',
  reason: 'warm-and-drawing',
  confidence: 'certain',
  evidence: [evidence('tank-temperature', 27.4, 'C')],
  hold: minutes(10),
  ...changes,
});

export const look = (changes: Partial<Look> = {}): Look => ({
  watch: 'heater-stuck-on',
  subject: { kind: 'device', id: 'discus-heater' },
  finding: finding(),
  ...changes,
});

/** r raised (warning), c raised (critical), q quiet, ? unknown, - no look at all. */
export type Mark = 'r' | 'c' | 'q' | '?' | '-';

export function findingOf(mark: Exclude<Mark, '-'>, hold: Millis): Finding {
  const verdict = mark === 'q' ? 'quiet' : mark === '?' ? 'unknown' : 'raised';
  return finding({ verdict, severity: mark === 'c' ? 'critical' : 'warning', hold });
}

/** '3r 2q -' → r r r q q - */
export const marksOf = (script: string): Mark[] =>
  script.split(' ').flatMap((word) => {
    const [, count, mark] = /^(\d*)([rcq?-])$/.exec(word) ?? [];
    if (mark === undefined) throw new Error(`no such word in a script: '${word}'`);
    return Array<Mark>(Number(count === '' ? 1 : count)).fill(mark as Mark);
  });

export interface Played {
  /** 'MINUTE CHANGE' of everything told. */
  readonly told: string[];
  readonly memory: AlertMemory;
  readonly rounds: Judgment[];
}

/** One look per `every` from NIGHT on; optionally through JSON after each round. */
export function play(
  marks: readonly Mark[],
  options: {
    hold?: Millis;
    every?: Millis;
    policy?: Partial<Policy>;
    restartAfter?: (round: number) => boolean;
    memory?: AlertMemory;
    start?: Instant;
  } = {},
): Played {
  const { hold = minutes(10), every = MINUTE, start = NIGHT } = options;
  const policy = { ...DEFAULT_POLICY, ...options.policy };
  let memory = options.memory ?? EMPTY_MEMORY;
  const told: string[] = [];
  const rounds: Judgment[] = [];
  marks.forEach((mark, round) => {
    const now = later(start, round * every);
    const looks = mark === '-' ? [] : [look({ finding: findingOf(mark, hold) })];
    const judgment = judge(memory, looks, now, policy);
    rounds.push(judgment);
    memory = judgment.memory;
    if (options.restartAfter?.(round)) memory = readMemory(JSON.parse(JSON.stringify(memory)));
    for (const { change } of judgment.news) told.push(`${(round * every) / MINUTE} ${change}`);
  });
  return { told, memory, rounds };
}
