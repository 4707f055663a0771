import { h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import type { RoomView } from '../../src/web/index.ts';
import { RoomPage } from '../../src/web/room-page.tsx';
import { createWords } from '../../src/web/words.ts';

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
