import { parse } from 'yaml';
import { z } from 'zod';
import { plugConfig } from '../../src/metering/config.ts';
import { feedsConfig, probeConfig } from '../../src/readings/config.ts';
import {
  compileFeeds,
  createSurvey,
  type Guess,
  type GuessOptions,
  guess,
  type Message,
} from '../../src/readings/index.ts';
import { instant } from '../../src/units/index.ts';

export const NOON = Date.UTC(2026, 0, 14, 12);

/** A message on `topic`, some seconds after noon; objects are sent as JSON, texts as they are. */
export function sent(topic: string, payload: unknown, seconds = 0, retained = false): Message {
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload);
  return { topic, payload: Buffer.from(text), retained, arrived: instant(NOON + seconds * 1000) };
}

export function guessed(messages: readonly Message[], options: GuessOptions = {}): Guess[] {
  const survey = createSurvey();
  for (const message of messages) survey.add(message);
  return guess(survey.observations(), options);
}

/** 'topic at pointer' → 'confidence kind unit', with what is not billed in words. */
export const told = (guesses: readonly Guess[]): Record<string, string> =>
  Object.fromEntries(
    guesses.map(({ topic, at, is, unit, confidence, what, restarts }) => [
      at === undefined ? topic : `${topic} ${at}`,
      [confidence, what ?? is, unit, restarts === 'at-midnight' ? 'daily' : undefined]
        .filter((part) => part !== undefined)
        .join(' '),
    ]),
  );

const merged = z.strictObject({
  feeds: feedsConfig.default({}),
  plugs: z.record(z.string(), plugConfig).default({}),
  probes: z.record(z.string(), probeConfig).default({}),
});

/** A sketch as the config schemas read it, and the feeds compiled from it. */
export function adopted(yaml: string) {
  const config = merged.parse(parse(yaml) ?? {});
  const plugs = Object.keys(config.plugs);
  const probes = Object.keys(config.probes);
  return { ...config, book: compileFeeds(config.feeds, { plugs, probes }) };
}
