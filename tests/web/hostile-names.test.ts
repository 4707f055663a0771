import fc from 'fast-check';
import { h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { describe, expect, it } from 'vitest';
import { HOUR, later } from '../../src/units/index.ts';
import { AlertPage } from '../../src/web/alert-page.tsx';
import { TendingPage } from '../../src/web/tending-page.tsx';
import { createWords } from '../../src/web/words.ts';
import { between, html, tagsOf } from './page.ts';
import { HOSTILE_NAMES, NIGHT, roomNamed } from './views.ts';

const PLAIN = 'Reed pool';
const plainTags = tagsOf(html(roomNamed(PLAIN)));

/** Title aside: there a name stands without its control characters. */
const bodyOf = (page: string): string => page.slice(page.indexOf('<body>'));

const count = (text: string, part: string): number => text.split(part).length - 1;

/** HTML text as preact writes it, decoded by the five entities that it uses. */
const decoded = (page: string): string =>
  page
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');

describe('a name in the page', () => {
  it('stands in many places', () => {
    expect(count(bodyOf(html(roomNamed(PLAIN))), PLAIN)).toBeGreaterThan(15);
  });

  it.each(Object.entries(HOSTILE_NAMES))('with %s changes no tag and is not lost', (_, name) => {
    const page = html(roomNamed(name));
    expect(tagsOf(page)).toEqual(plainTags);
    expect(count(decoded(bodyOf(page)), name)).toBe(count(bodyOf(html(roomNamed(PLAIN))), PLAIN));
  });

  it('of whatever characters changes no tag', () => {
    const anyName = fc.oneof(
      fc.string({ unit: 'binary', minLength: 1, maxLength: 200 }),
      fc
        .array(fc.constantFrom('<', '>', '"', "'", '&', '/', '=', '!--', 'script', '\u202E', '\0'))
        .map((parts) => parts.join('')),
    );
    fc.assert(
      fc.property(anyName, (name) => {
        expect(tagsOf(html(roomNamed(name)))).toEqual(plainTags);
      }),
      { numRuns: 150 },
    );
  });

  it('is kept apart from the line around it, so that its direction cannot turn that', () => {
    const page = bodyOf(html(roomNamed('NAME')));
    const isolated = between(page, '<bdi>', '</bdi>').filter((text) => text.includes('NAME'));
    const inIsolation = isolated.reduce((sum, text) => sum + count(text, 'NAME'), 0);
    // Sentences of alerts are paragraphs of their own: their names are cleaned by the alerts.
    const sentences = ['NAME keeps heating.', 'NAME is warm.'];
    const inSentences = sentences.reduce((sum, text) => sum + count(page, text), 0);
    expect(inSentences).toBe(4);
    expect(inIsolation + inSentences).toBe(count(page, 'NAME'));
  });

  it('loses its control characters in the title, which has no markup to hold them', () => {
    const titleOf = (name: string) => between(html(roomNamed(name)), '<title>', '</title>')[0];
    expect(titleOf('\u202Eabc\u0000\n')).toMatch(/ · abc$/);
    expect(titleOf('a\u2067b')).toMatch(/ · a b$/);
    expect(titleOf('👨‍👩‍👧 שלום')).toMatch(/ · 👨‍👩‍👧 שלום$/);
    expect(titleOf('</title><script>')).toMatch(/ · <\/title><script>$/);
  });
});

describe('a name on the pages of an alert and of a tank', () => {
  const pagesOf = (name: string): string[] => {
    const view = roomNamed(name);
    const words = createWords(view.site);
    const tending = { since: NIGHT, until: later(NIGHT, HOUR), by: name };
    return [
      ...view.alerts.map((alert) =>
        renderToString(h(AlertPage, { alert, view, words, token: 'TOKEN' })),
      ),
      ...view.tanks.map((tank) =>
        renderToString(h(TendingPage, { tank: { ...tank, tending }, view, words, token: 'TOKEN' })),
      ),
    ];
  };

  it.each(Object.entries(HOSTILE_NAMES))('with %s changes no tag and is not lost', (_, name) => {
    const pages = pagesOf(name);
    expect(pages.map(tagsOf)).toEqual(pagesOf(PLAIN).map(tagsOf));
    for (const page of pages) expect(decoded(bodyOf(page))).toContain(name);
  });
});
