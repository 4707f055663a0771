import type { Instant } from '../../units/index.ts';
import { readNumeral } from '../numeral.ts';
import { documentOf, NOT_JSON, openPayload, textOf } from '../payload.ts';
import { pointerOf } from '../pointer.ts';
import type { Message } from '../reading.ts';

/** One number as it was seen. */
export interface Sample {
  readonly value: number;
  readonly arrived: Instant;
  /** The broker kept it from before, so that its arrival says nothing about its age. */
  readonly retained: boolean;
}

/** All that was seen at one place: a topic, and a JSON Pointer into it or the bare payload. */
export interface Observation {
  readonly topic: string;
  /** Undefined for the bare payload. */
  readonly at: string | undefined;
  readonly samples: readonly Sample[];
  /** Some numbers were texts with a decimal comma. */
  readonly decimalComma: boolean;
  /** Words on a bare topic, in lower case, such as 'online'; a few of them. */
  readonly words: readonly string[];
}

/** Collects what a broker carries, for guessing what it means. */
export interface Survey {
  /** Never throws. Numbers beyond the survey's size are counted as overlooked. */
  add(message: Message): void;
  observations(): Observation[];
  /** Places that did not fit any more. */
  overlooked(): number;
}

export interface SurveyOptions {
  /** Places (topic and pointer) that are kept. */
  readonly places?: number;
  /** Samples that are kept of one place; beyond, every other one is dropped. */
  readonly samples?: number;
}

const LARGEST_PAYLOAD = 64 * 1024;
const DEEPEST = 8;
const PLACES_IN_A_PAYLOAD = 200;
const WORDS_AT_A_PLACE = 4;
const LONGEST_WORD = 20;

interface Place {
  readonly topic: string;
  readonly at: string | undefined;
  samples: Sample[];
  decimalComma: boolean;
  readonly words: string[];
}

export function createSurvey(options: SurveyOptions = {}): Survey {
  const { places: most = 20_000, samples: mostSamples = 400 } = options;
  const places = new Map<string, Place>();
  let overlooked = 0;

  function placeOf(topic: string, at: string | undefined): Place | undefined {
    // No topic holds U+0000 (MQTT 5 §1.5.4), so that the parts of the key cannot run together.
    const key = at === undefined ? topic : `${topic}\0${at}`;
    const known = places.get(key);
    if (known !== undefined) return known;
    if (places.size >= most) {
      overlooked += 1;
      return undefined;
    }
    const place = { topic, at, samples: [], decimalComma: false, words: [] };
    places.set(key, place);
    return place;
  }

  function note(message: Message, at: string | undefined, found: unknown): void {
    const number = numberIn(found);
    const word = number === undefined && at === undefined ? wordIn(found) : undefined;
    if (number === undefined && word === undefined) return;
    const place = placeOf(message.topic, at);
    if (place === undefined) return;
    if (number === undefined) {
      if (word !== undefined && !place.words.includes(word)) {
        if (place.words.length < WORDS_AT_A_PLACE) place.words.push(word);
      }
      return;
    }
    place.decimalComma ||= number.comma;
    const { arrived, retained } = message;
    place.samples.push({ value: number.value, arrived, retained });
    if (place.samples.length > mostSamples) {
      place.samples = place.samples.filter((_, index) => index % 2 === 0);
    }
  }

  return {
    add(message) {
      if (message.payload.byteLength > LARGEST_PAYLOAD) return;
      const payload = openPayload(message.payload);
      const document = documentOf(payload);
      if (document === NOT_JSON || typeof document !== 'object') {
        note(message, undefined, textOf(payload));
        return;
      }
      for (const { at, found } of leavesOf(document)) note(message, at, found);
    },
    observations: () => [...places.values()],
    overlooked: () => overlooked,
  };
}

/** The scalars of a document with their pointers, down to a bounded depth and number. */
function leavesOf(document: unknown): { at: string; found: unknown }[] {
  const leaves: { at: string; found: unknown }[] = [];
  const visit = (node: unknown, keys: readonly (string | number)[]): void => {
    if (leaves.length >= PLACES_IN_A_PAYLOAD) return;
    if (typeof node !== 'object' || node === null) {
      leaves.push({ at: pointerOf(keys), found: node });
      return;
    }
    if (keys.length >= DEEPEST) return;
    if (Array.isArray(node)) {
      for (const [index, item] of node.entries()) visit(item, [...keys, index]);
    } else {
      for (const [key, item] of Object.entries(node)) visit(item, [...keys, key]);
    }
  };
  visit(document, []);
  return leaves;
}

function numberIn(found: unknown): { value: number; comma: boolean } | undefined {
  if (typeof found === 'number') {
    return Number.isFinite(found) ? { value: found, comma: false } : undefined;
  }
  if (typeof found !== 'string') return undefined;
  const text = found.trim();
  const plain = readNumeral(text, false);
  const value = plain ?? readNumeral(text, true);
  return value === undefined || !Number.isFinite(value)
    ? undefined
    : { value, comma: plain === undefined };
}

const wordIn = (found: unknown): string | undefined =>
  typeof found === 'string' && found !== '' && found.length <= LONGEST_WORD
    ? found.toLowerCase()
    : undefined;
