import { h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import type { RoomView } from '../../src/web/index.ts';
import { RoomPage } from '../../src/web/room-page.tsx';
import { createWords } from '../../src/web/words.ts';
import { room } from './views.ts';

/** The page as the server would send it. */
export const html = (view: RoomView, still = false): string =>
  renderToString(h(RoomPage, { view, words: createWords(view.site), token: 'TOKEN', still }));

/** Its tags alone, in order: what a name must never change. */
export const tagsOf = (page: string): string[] => page.match(/<[^>]*>/g) ?? [];

const ENTITIES: Readonly<Record<string, string>> = {
  '&lt;': '<',
  '&gt;': '>',
  '&quot;': '"',
  '&#39;': "'",
  '&amp;': '&',
};

const unescaped = (text: string): string =>
  text.replace(/&(?:lt|gt|quot|#39|amp);/g, (entity) => ENTITIES[entity] ?? entity);

/** What a reader sees, blanks made plain: tags end words, as blocks do. */
export const textOf = (page: string): string =>
  unescaped(page.replace(/<(?:\/?(?:bdi|b|span)\b[^>]*)>/g, '').replace(/<[^>]*>/g, ' | '))
    .replace(/[\s\u00A0]+/g, ' ')
    .replace(/(?:\| )+/g, '| ');

/** What stands between these tags, as text. */
export function between(page: string, open: string, close: string): string[] {
  return page
    .split(open)
    .slice(1)
    .map((rest) => unescaped(rest.slice(0, rest.indexOf(close))));
}

export type Over = NonNullable<Parameters<typeof room>[0]>;

export const textWith = (over: Over): string => textOf(html(room(over)));
export const titleOf = (over: Over): string | undefined =>
  between(html(room(over)), '<title>', '</title>')[0];

/** One thing's part of the page's text: from its name to the next break of its kind. */
export function cardOf(page: string, name: string): string {
  const found = page
    .split('<section class="card')
    .find((card) => card.includes(`<bdi>${name}</bdi></h3>`));
  if (found === undefined) throw new Error(`no card of ${name}`);
  return textOf(`<section class="card${found.slice(0, found.indexOf('</section>'))}`);
}
