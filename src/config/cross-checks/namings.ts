import type { Path } from '../problem.ts';
import type { FileInput } from '../validate.ts';
import type { Loose, View } from './view.ts';

export type Feed = Loose<NonNullable<FileInput['feeds']>[string]>;

/** One place in a feed that names plugs or probes: an id, or a pattern such as '{strip}-2'. */
export interface Naming {
  readonly kind: 'plug' | 'probe';
  readonly text: string;
  readonly path: Path;
  /** It brings values that are booked or watched, not only whether it is on the air or its voltage. */
  readonly measures: boolean;
}

export interface Namings {
  readonly found: readonly Naming[];
  /** False when the file has one of them wrong, so that more may be meant. */
  readonly complete: boolean;
}

/** What the values of a feed name, defaults included. */
export function namingsOf(view: View, id: string, feed: Feed): Namings {
  const found: Naming[] = [];
  let complete = feed.values !== undefined;
  (feed.values ?? []).forEach((value, index) => {
    const path = ['feeds', id, 'values', index];
    if (value?.measure === undefined) {
      complete = false;
      return;
    }
    const { measure } = value;
    const note = (kind: Naming['kind'], text: string | undefined): void => {
      if (text !== undefined) {
        found.push({ kind, text, path: [...path, kind], measures: !ASIDE.has(measure) });
      } else if (view.given([...path, kind])) {
        complete = false;
      }
    };
    const unlessGiven = (kind: Naming['kind'], text: string): string | undefined =>
      view.given([...path, kind]) ? undefined : text;
    switch (measure) {
      case 'power':
      case 'counter':
      case 'voltage':
        note('plug', value.plug ?? unlessGiven('plug', '{plug}'));
        break;
      case 'temperature':
      case 'humidity':
        note('probe', value.probe ?? unlessGiven('probe', '{probe}'));
        break;
      case 'presence':
        note('plug', value.plug);
        note('probe', value.probe);
        break;
    }
  });
  return { found, complete };
}

/** What says nothing of energy or warmth by itself. */
const ASIDE: ReadonlySet<string> = new Set(['presence', 'voltage']);

const LEVEL_NAME = /\{([a-z][a-z0-9_]*)\}/g;

export const isPattern = (text: string): boolean => text.includes('{');

export const levelNames = (text: string): string[] =>
  [...text.matchAll(LEVEL_NAME)].map((match) => match[1] ?? '');

/** The id that the pattern makes of one level's (translated) text. */
export const fill = (pattern: string, text: string): string =>
  pattern.replace(LEVEL_NAME, () => text);

/** Whether some text of the topic's levels makes an id: the test, built once. */
export function makes(naming: Naming): (id: string) => boolean {
  if (!isPattern(naming.text)) return (id) => id === naming.text;
  const literals = naming.text.split(LEVEL_NAME).filter((_, index) => index % 2 === 0);
  const pattern = new RegExp(`^${literals.map(escaped).join('.+')}$`);
  return (id) => pattern.test(id);
}

const escaped = (text: string): string => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
