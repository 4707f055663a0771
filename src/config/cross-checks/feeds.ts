import type { Finding, Path } from '../problem.ts';
import {
  type Feed,
  fill,
  isPattern,
  levelNames,
  makes,
  type Naming,
  namingsOf,
} from './namings.ts';
import { exactlyOne, missingReference } from './references.ts';
import { unknownZone } from './site.ts';
import { entriesOf, type View } from './view.ts';

/** What a feed names exists, and its patterns use the levels that its topic has. */
export function checkFeeds(view: View): Finding[] {
  return entriesOf(view.file.feeds).flatMap(([id, feed]) => {
    const path = ['feeds', id];
    const namings = namingsOf(view, id, feed).found;
    return [
      ...sameLevelTwice([...path, 'topic'], feed.topic),
      ...namings.flatMap((naming) => unknownLevels(feed.topic, naming)),
      ...namings
        .filter(({ text }) => !isPattern(text))
        .flatMap(({ kind, text, path: at }) => missingReference(view, at, text, `${kind}s`)),
      ...lostNames(view, path, feed, namings),
      ...namings.flatMap((naming) => idlePattern(view, feed, naming)),
      ...(feed.values ?? []).flatMap((value, index) =>
        value?.measure === 'presence'
          ? exactlyOne(view, [...path, 'values', index], ['plug', 'probe'], 'say who is present')
          : [],
      ),
      ...unknownZone(view, [...path, 'time', 'zone'], feed.time?.zone),
    ];
  });
}

/** A plug or probe that no message can reach would be silent for good. */
export function checkReach(view: View): Finding[] {
  if (view.ids('feeds') === undefined) return [];
  const namings = entriesOf(view.file.feeds).map(([id, feed]) => namingsOf(view, id, feed));
  // A feed with a mistake in what it names may be meant for any of them.
  if (namings.some(({ complete }) => !complete)) return [];
  const measured = namings.flatMap(({ found }) => found).filter(({ measures }) => measures);
  return (['plug', 'probe'] as const).flatMap((kind) => {
    const tests = measured.filter((naming) => naming.kind === kind).map(makes);
    return [...(view.ids(`${kind}s`) ?? [])]
      .filter((id) => !tests.some((test) => test(id)))
      .map((id) => unreached(kind, id));
  });
}

const unreached = (kind: Naming['kind'], id: string): Finding => ({
  code: 'AMP_CONFIG_UNREACHED',
  path: [`${kind}s`, id],
  at: 'key',
  found: `a ${kind} that no feed measures`,
  allowed: `a ${kind} that some feed names, by its id or by a pattern`,
  remedy:
    kind === 'plug'
      ? 'add a feed for it, or leave the plug out: its device is then reckoned'
      : 'add a feed for it, or leave the probe out',
});

function sameLevelTwice(path: Path, topic: string | undefined): Finding[] {
  const names = levelNames(topic ?? '');
  if (new Set(names).size === names.length) return [];
  return [
    {
      code: 'AMP_CONFIG_LEVEL',
      path,
      allowed: 'a name of its own for each level in braces',
      remedy: 'write + for levels that nothing is taken from',
    },
  ];
}

function unknownLevels(topic: string | undefined, { text, path }: Naming): Finding[] {
  if (topic === undefined) return [];
  const known = levelNames(topic);
  return levelNames(text)
    .filter((name) => !known.includes(name))
    .map((name) => ({
      code: 'AMP_CONFIG_LEVEL',
      path,
      found: `{${name}}, which the topic does not have`,
      allowed: 'the names in braces in the topic of the same feed',
      remedy: `write {${name}} for one level of the topic, or name an id here`,
    }));
}

/** What `names` translates to must make an id that exists, with one of the feed's patterns. */
function lostNames(view: View, feed: Path, { names }: Feed, namings: readonly Naming[]): Finding[] {
  const patterns = namings.filter(({ text }) => isPattern(text));
  return entriesOf(names).flatMap(([level, id]): Finding[] => {
    const path = [...feed, 'names', level];
    const [first] = patterns;
    if (first === undefined) {
      return namings.length === 0 ? [] : [uselessName(path)];
    }
    // Of two levels in one pattern, a single text does not say what they make together.
    if (patterns.some(({ text }) => levelNames(text).length > 1)) return [];
    const exists = patterns.some(
      ({ kind, text }) => view.ids(`${kind}s`)?.has(fill(text, id)) !== false,
    );
    return exists ? [] : missingReference(view, path, id, `${first.kind}s`);
  });
}

const uselessName = (path: Path): Finding => ({
  code: 'AMP_CONFIG_LEVEL',
  path,
  at: 'key',
  found: 'a translated level that no value of this feed uses',
  allowed: 'names only where plug or probe has a {level}',
});

/** A pattern that makes no id of this file: its messages would all be refused. */
function idlePattern(view: View, { topic }: Feed, naming: Naming): Finding[] {
  const ids = view.ids(`${naming.kind}s`);
  if (ids === undefined || !isPattern(naming.text) || unknownLevels(topic, naming).length > 0) {
    return [];
  }
  const test = makes(naming);
  for (const id of ids) if (test(id)) return [];
  return [
    {
      code: 'AMP_CONFIG_FEED_IDLE',
      path: naming.path,
      found: `a pattern that fits no ${naming.kind} of this file`,
      allowed: 'it, but every message of this feed will be refused',
      remedy: `add a ${naming.kind} that it fits`,
      warning: true,
    },
  ];
}
