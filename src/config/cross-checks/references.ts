import { nearest } from '../nearest.ts';
import type { Finding, Path } from '../problem.ts';
import type { Section, View } from './view.ts';

const ONE: Readonly<Record<Section, string>> = {
  rooms: 'room',
  tanks: 'tank',
  probes: 'probe',
  plugs: 'plug',
  devices: 'device',
  feeds: 'feed',
  tariffs: 'tariff',
};

/** Says that no entry of `section` is called `id`, and which one was probably meant. */
export function missingReference(
  view: View,
  path: Path,
  id: string | undefined,
  section: Section,
  options: { at?: 'key'; also?: readonly string[] } = {},
): Finding[] {
  const ids = view.ids(section);
  if (id === undefined || ids === undefined || ids.has(id) || options.also?.includes(id)) return [];
  const candidates = [...ids, ...(options.also ?? [])];
  const near = view.secret(path) ? undefined : nearest(id, candidates.filter(isId));
  return [
    {
      code: 'AMP_CONFIG_REFERENCE',
      path,
      ...(options.at === undefined ? {} : { at: options.at, found: `the key ${id}` }),
      allowed: `the id of a ${ONE[section]} in this file`,
      remedy:
        near === undefined
          ? `add it under ${section}, or name one that is there: ${some(candidates)}`
          : `did you mean ${near}?`,
    },
  ];
}

const isId = (key: string): boolean => /^[a-z0-9-]+$/.test(key);

const SHOWN_IDS = 6;

function some(ids: readonly string[]): string {
  if (ids.length === 0) return 'there is none yet';
  const shown = ids.slice(0, SHOWN_IDS).join(', ');
  return ids.length > SHOWN_IDS ? `${shown} and ${ids.length - SHOWN_IDS} more` : shown;
}

/** Says that not exactly one of `keys` is given in the map at `path`. */
export function exactlyOne(
  view: View,
  path: Path,
  keys: readonly string[],
  remedy: string,
): Finding[] {
  const given = keys.filter((key) => view.given([...path, key]));
  if (given.length === 1) return [];
  return [
    {
      code: 'AMP_CONFIG_ONE_OF',
      path,
      at: 'key',
      found: given.length === 0 ? `neither ${keys.join(' nor ')}` : `both ${given.join(' and ')}`,
      allowed: `exactly one of ${keys.join(', ')}`,
      remedy,
    },
  ];
}
