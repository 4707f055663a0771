import { readdirSync, readFileSync } from 'node:fs';
import { parse } from 'yaml';
import { z } from 'zod';
import { feedsConfig } from '../../src/readings/config.ts';
import type { Message, Reading, Refusal } from '../../src/readings/index.ts';
import { instant } from '../../src/units/index.ts';

const message = z.strictObject({
  topic: z.string(),
  text: z.string().optional(),
  json: z.unknown().optional(),
  hex: z.string().optional(),
  repeat: z.strictObject({ text: z.string(), times: z.number() }).optional(),
  retained: z.boolean().default(false),
  arrived: z.string().default('2026-01-14T12:00:00Z'),
  readings: z.array(z.string()).default([]),
  refusals: z.array(z.string()).default([]),
});

const payloadCase = z.strictObject({
  about: z.string(),
  plugs: z.array(z.string()).default([]),
  probes: z.array(z.string()).default([]),
  feeds: feedsConfig,
  messages: z.array(message).min(1),
});

const FOLDER = new URL('./cases/', import.meta.url);

/** Every folder of tests/readings/cases: feeds, messages in, readings or refusals out. */
export const payloadCases = () =>
  readdirSync(FOLDER)
    .sort()
    .map((name) => {
      const text = readFileSync(new URL(`${name}/case.yaml`, FOLDER), 'utf8');
      return { name, ...payloadCase.parse(parse(text)) };
    });

export function messageOf(given: z.infer<typeof message>): Message {
  return {
    topic: given.topic,
    payload: payloadOf(given),
    retained: given.retained,
    arrived: instant(Date.parse(given.arrived)),
  };
}

function payloadOf({ text, json, hex, repeat }: z.infer<typeof message>): Uint8Array {
  if (hex !== undefined) return Buffer.from(hex, 'hex');
  if (repeat !== undefined) return Buffer.from(repeat.text.repeat(repeat.times));
  return Buffer.from(text ?? JSON.stringify(json));
}

/** 'plug/id measure value' ('plug/id/register' for one of several counters), then its own time and 'retained' where they apply. */
export function readingLine(reading: Reading): string {
  const { from, id, measure, register, value, at, arrived, retained } = reading;
  const rounded = Object.is(value, -0) ? '-0' : String(Number(value.toPrecision(15)));
  const own = at === arrived ? '' : ` at ${new Date(at).toISOString()}`;
  const which = register === undefined ? '' : `/${register}`;
  return `${from}/${id}${which} ${measure} ${rounded}${own}${retained ? ' retained' : ''}`;
}

/** 'feed measure source reason "found"', with '-' and '?' for what is not known. */
export function refusalLine(refusal: Refusal): string {
  const { feed = '-', measure = '-', source, reason, found } = refusal;
  const who = source === undefined ? '?' : `${source.from}/${source.id}`;
  return `${feed} ${measure} ${who} ${reason} "${found}"`;
}
