import { CodedError, type Instant } from '../units/index.ts';
import type { Forgotten, Learned } from '../watches/index.ts';
import type { HeatLane } from './heat-lane.ts';
import type { WatchLane } from './watch-lane.ts';

/** Gear, a probe or a tank that is not what it was when things were learned of it. */
export interface Renewed {
  readonly kind: 'device' | 'probe' | 'tank';
  readonly id: string;
}

export interface Forgetful {
  readonly watches: WatchLane;
  readonly heat: HeatLane;
  readonly now: Instant;
  readonly has: (renewed: Renewed) => boolean;
  readonly called: (id: string) => string;
  readonly date: (at: Instant) => string;
}

/**
 * Forgets what was learned of it.
 * @returns what that was and since when it had been learned, in words
 * @throws CodedError AMP_APP_FORGET
 */
export function forget(renewed: Renewed, forgetful: Forgetful): string {
  const { watches, heat, now, has, called, date } = forgetful;
  const { kind, id } = renewed;
  if (!has(renewed)) {
    throw new CodedError('AMP_APP_FORGET', `there is no ${kind} '${id}'`, {
      remedy: 'use its id, as the configuration has it',
    });
  }
  const ofHeat = kind === 'tank' ? heat.forget(id, now) : undefined;
  const lines = watches
    .forget(kind, id, now)
    .map(({ of, what, since }: Forgotten) => [WORDS[what](called(of)), since] as const);
  if (ofHeat !== undefined) lines.push([`how ${called(id)} loses heat`, ofHeat]);
  if (lines.length === 0) return `nothing was learned of ${called(id)} yet`;
  const list = lines.map(([words, since]) =>
    since === undefined ? words : `${words} (learned since ${date(since)})`,
  );
  return `forgotten: ${list.join('; ')}. It is learned anew from now on`;
}

const WORDS: Readonly<Record<Learned, (name: string) => string>> = {
  'on-power': (name) => `what ${name} draws when it works`,
  'switch-temperatures': (name) => `where ${name} switches`,
  'usual-power': (name) => `what ${name} usually draws`,
  stillness: (name) => `how long ${name} says the very same`,
  'usual-silence': (name) => `how long ${name} is usually silent`,
};
