import { printable } from '../found.ts';
import { arrange, type FeedSketch } from './feed-sketch.ts';
import { grouped } from './grouped.ts';
import type { Guess } from './guessed.ts';

export interface SketchOptions {
  /** Ids that the config has already: their sections are left out, their names not used again. */
  readonly feeds?: Iterable<string>;
  readonly plugs?: Iterable<string>;
  readonly probes?: Iterable<string>;
  /** Id of the room in which new probes are put until their keeper says better. */
  readonly room?: string;
}

const MOST_NOTES = 60;

/**
 * Writes what was guessed as YAML with feeds, plugs and probes, to be merged into a config. Only
 * what is at least likely and read by no feed yet becomes a value; the rest follows as comments.
 */
export function sketchFeeds(guesses: readonly Guess[], options: SketchOptions = {}): string {
  const sketch = arrange(guesses, {
    feeds: new Set(options.feeds),
    plugs: new Set(options.plugs),
    probes: new Set(options.probes),
  });
  const lines: string[] = [];
  if (sketch.feeds.length > 0) lines.push('feeds:', ...sketch.feeds.flatMap(feedLines));
  if (sketch.plugs.length > 0) {
    lines.push('plugs:');
    for (const { id, restarts } of sketch.plugs) {
      const daily = restarts === 'at-midnight';
      lines.push(`  ${quoted(id)}: ${daily ? '{ counter_restarts: at-midnight }' : '{}'}`);
    }
  }
  if (sketch.probes.length > 0) {
    const { room } = options;
    lines.push(`probes: # ${room === undefined ? 'each wants its tank or its room' : 'or tank'}`);
    const place = room === undefined ? '{}' : `{ room: ${quoted(room)} }`;
    for (const id of sketch.probes) lines.push(`  ${quoted(id)}: ${place}`);
  }
  const spare = sketch.spare.filter((guess) => guess.claimedBy.length === 0);
  const notes = [...grouped(spare, kindOfSpare).values()].map(spareLine);
  if (notes.length > 0) lines.push('# Not taken:', ...notes.slice(0, MOST_NOTES));
  if (notes.length > MOST_NOTES) lines.push(`#   … and ${notes.length - MOST_NOTES} kinds more`);
  if (sketch.feeds.length === 0) lines.unshift('# Nothing was found that a new feed could read.');
  return `${lines.join('\n')}\n`;
}

function feedLines(feed: FeedSketch): string[] {
  const lines = [`  ${quoted(feed.name)}:`, `    topic: ${quoted(feed.topic)}`];
  if (feed.names.size > 0) {
    lines.push('    names:');
    for (const [text, id] of feed.names) lines.push(`      ${quoted(text)}: ${quoted(id)}`);
  }
  if (feed.decimalComma) lines.push('    decimal_comma: true');
  lines.push('    values:');
  for (const value of feed.values) {
    const { confidence, reasons } = value.because;
    lines.push(`      # ${confidence}: ${comment(reasons.join(', '))}`);
    lines.push(`      - measure: ${value.measure}`);
    lines.push(`        ${value.from}: ${quoted(value.source)}`);
    if (value.at !== undefined) lines.push(`        at: ${quoted(value.at)}`);
    if (value.unit !== undefined) lines.push(`        unit: ${quoted(value.unit)}`);
    const { on, off } = value.because.words;
    if (value.measure === 'presence' && !on.includes('online')) {
      lines.push(`        on: [${on.map(quoted).join(', ')}]`);
      lines.push(`        off: [${off.map(quoted).join(', ')}]`);
    }
    if (value.sentinels.length > 0)
      lines.push(`        sentinels: [${value.sentinels.join(', ')}]`);
  }
  return lines;
}

/** The same key, or the same last level, with the same verdict: one line tells of all. */
const kindOfSpare = ({ topic, at, is, what, confidence }: Guess): string =>
  JSON.stringify([at ?? topic.split('/').pop(), at === undefined, is, what, confidence]);

function spareLine(alike: readonly Guess[]): string {
  const [guess] = alike as readonly [Guess, ...Guess[]];
  const more = alike.length > 1 ? ` and ${alike.length - 1} more like it` : '';
  const place = guess.at === undefined ? guess.topic : `${guess.topic} at ${guess.at || "''"}`;
  const what =
    guess.is === 'not-billed'
      ? (guess.what ?? 'not billed')
      : guess.is === 'unclear'
        ? 'unclear'
        : `${guess.confidence === 'maybe' ? 'maybe a' : 'another'} ${guess.is}`;
  const again = guess.restarts === 'at-midnight' ? ', starts again each midnight' : '';
  return `#   ${comment(place)}${more}: ${what}${again} (${comment(guess.reasons.slice(0, 2).join(', '))})`;
}

const comment = (text: string): string => printable(text);

/** JSON's texts are YAML's double-quoted ones; broken surrogates would not survive the file. */
const quoted = (text: string): string =>
  /^[A-Za-z][A-Za-z0-9-]*$/.test(text) && !YAML_WORDS.has(text.toLowerCase())
    ? text
    : JSON.stringify(text.replace(/\p{Cs}/gu, '\uFFFD'));

/** Words that some YAML readers take for something other than text. */
const YAML_WORDS = new Set(['true', 'false', 'null', 'yes', 'no', 'on', 'off', 'y', 'n']);
