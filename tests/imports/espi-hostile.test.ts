import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FileRefused, readEspi } from '../../src/imports/index.ts';
import { runs } from '../units/runs.ts';
import {
  blockXml,
  entryXml,
  feedXml,
  read,
  reference,
  refusalOf,
  SITE,
  START,
  simpleFeed,
  typeXml,
} from './sample.ts';

/** A feed with `inside` among its elements, on line 3. */
const feedWith = (inside: string): string =>
  `<?xml version="1.0"?>\n<feed xmlns="http://www.w3.org/2005/Atom">\n${inside}</feed>`;

/** Ten entities, each ten of the one before: 'billion laughs', as known from public advisories. */
const bomb = (): string => {
  const levels = Array.from(
    { length: 9 },
    (_, level) => `<!ENTITY e${level + 1} "${`&e${level};`.repeat(10)}">`,
  );
  return `<?xml version="1.0"?>\n<!DOCTYPE feed [<!ENTITY e0 "ha">${levels.join('')}]>\n<feed>&e9;</feed>`;
};

const HOSTILE: readonly { name: string; text: string; code: string; line?: number }[] = [
  { name: 'an entity bomb', text: bomb(), code: 'AMP_ESPI_DOCTYPE', line: 2 },
  {
    name: 'an external entity',
    text: '<!DOCTYPE feed [<!ENTITY x SYSTEM "file:///etc/hostname">]>\n<feed>&x;</feed>',
    code: 'AMP_ESPI_DOCTYPE',
    line: 1,
  },
  {
    name: 'a document type elsewhere',
    text: '<!DOCTYPE feed SYSTEM "http://127.0.0.1/feed.dtd">\n<feed/>',
    code: 'AMP_ESPI_DOCTYPE',
    line: 1,
  },
  {
    name: 'a document type without end',
    text: `<!DOCTYPE feed [${'<!ENTITY a "b">'.repeat(20_000)}`,
    code: 'AMP_ESPI_DOCTYPE',
  },
  {
    name: 'an entity that nobody declared',
    text: feedWith('<title>&copy;</title>'),
    code: 'AMP_ESPI_XML',
    line: 3,
  },
  {
    name: 'a million elements within each other',
    text: feedWith('<a>'.repeat(1_000_000)),
    code: 'AMP_ESPI_DEEP',
    line: 3,
  },
  {
    name: 'a text of ten megabytes',
    text: feedWith(`<title>${'x'.repeat(10_000_000)}</title>`),
    code: 'AMP_ESPI_TEXT',
    line: 3,
  },
  {
    name: 'a text of ten megabytes in CDATA',
    text: feedWith(`<title><![CDATA[${'x'.repeat(10_000_000)}]]></title>`),
    code: 'AMP_ESPI_TEXT',
    line: 3,
  },
  {
    name: 'a tag with a hundred thousand attributes',
    text: feedWith(`<a ${Array.from({ length: 100_000 }, (_, n) => `b${n}="1"`).join(' ')}/>`),
    code: 'AMP_ESPI_TEXT',
    line: 3,
  },
  {
    name: 'a name of ten megabytes',
    text: feedWith(`<${'a'.repeat(10_000_000)}/>`),
    code: 'AMP_ESPI_TEXT',
    line: 3,
  },
  {
    name: 'a comment of ten megabytes',
    text: feedWith(`<!--${' x'.repeat(5_000_000)}-->`),
    code: 'AMP_ESPI_TEXT',
    line: 3,
  },
  { name: 'an empty file', text: '', code: 'AMP_ESPI_EMPTY' },
  { name: 'white space', text: ' \n\n ', code: 'AMP_ESPI_EMPTY' },
  { name: 'a table', text: 'start,end,energy_kwh\n1,2,3\n', code: 'AMP_ESPI_XML', line: 1 },
  { name: 'JSON', text: '{"feed": []}', code: 'AMP_ESPI_XML', line: 1 },
  {
    name: 'a web page',
    text: '<!DOCTYPE html>\n<html><body>Please log in</body></html>',
    code: 'AMP_ESPI_NOT_ESPI',
    line: 1,
  },
  {
    name: 'a web page in XML',
    text: '<html xmlns="http://www.w3.org/1999/xhtml"><body/></html>',
    code: 'AMP_ESPI_NOT_ESPI',
    line: 1,
  },
  {
    name: 'XML of another kind',
    text: '<svg xmlns="http://www.w3.org/2000/svg"/>',
    code: 'AMP_ESPI_NOT_ESPI',
    line: 1,
  },
  {
    name: 'readings of another namespace',
    text: feedWith('<entry><content><IntervalBlock xmlns="urn:example:other"/></content></entry>'),
    code: 'AMP_ESPI_NOT_ESPI',
    line: 3,
  },
  {
    name: 'a prefix that nobody bound',
    text: feedWith('<entry><content><espi:IntervalBlock/></content></entry>'),
    code: 'AMP_ESPI_XML',
    line: 3,
  },
  { name: 'a feed without readings', text: feedWith(''), code: 'AMP_ESPI_EMPTY' },
  { name: 'tags that cross', text: feedWith('<a><b></a></b>'), code: 'AMP_ESPI_XML', line: 3 },
];

describe('an ESPI reader handed something else', () => {
  it.each(HOSTILE)('refuses $name with $code', async ({ text, code, line }) => {
    const refusal = await refusalOf(read(text));
    expect(refusal.code).toBe(code);
    expect(refusal.remedy).toMatch(/\w/);
    expect(refusal.message.length).toBeLessThan(500);
    if (line !== undefined) expect(refusal.problems[0]?.line).toBe(line);
  });

  it('refuses the hostile as well when it comes in small pieces', async () => {
    for (const { text, code } of HOSTILE.filter((hostile) => hostile.text.length < 400_000)) {
      const pieces = text.match(/[\s\S]{1,97}/g) ?? [];
      expect((await refusalOf(readEspi(pieces, SITE))).code).toBe(code);
    }
  });

  it('says of a web page that it is one', async () => {
    expect((await refusalOf(read('<!DOCTYPE html><html></html>'))).message).toContain('web page');
  });

  it('refuses bytes that are no UTF-8', async () => {
    const latin1 = Buffer.from(feedXml(entryXml('', { title: 'Zähler' })), 'latin1');
    expect(await refusalOf(readEspi([latin1], SITE))).toMatchObject({ code: 'AMP_ESPI_XML' });
    const utf16 = Buffer.from(`\uFEFF${feedXml()}`, 'utf16le');
    expect(await refusalOf(readEspi([utf16], SITE))).toMatchObject({ code: 'AMP_ESPI_XML' });
    const cut = Buffer.from('<feed xmlns="http://www.w3.org/2005/Atom">ä').subarray(0, -1);
    expect(await refusalOf(readEspi([cut], SITE))).toMatchObject({ code: 'AMP_ESPI_XML' });
  });

  it('reads no further than the largest file allows', async () => {
    let pieces = 0;
    function* endless() {
      yield '<feed xmlns="http://www.w3.org/2005/Atom">';
      for (;;) {
        pieces += 1;
        yield '<title>x</title>';
      }
    }
    const refusal = await refusalOf(readEspi(endless(), { ...SITE, largestFile: 10_000 }));
    expect(refusal.code).toBe('AMP_ESPI_SIZE');
    expect(pieces).toBeLessThan(700);
  });

  it('keeps no more readings than it may', async () => {
    const readings = [0, 1, 2, 3].map((hour) => ({ start: START + hour * 3600 }));
    const text = simpleFeed({}, ...readings);
    expect((await read(text, { mostReadings: 6 })).meters[0]?.intervals).toHaveLength(4);
    const refusal = await refusalOf(read(text, { mostReadings: 4 }));
    expect(refusal.code).toBe('AMP_ESPI_ROWS');
    expect(refusal.problems[0]?.line).toBeGreaterThan(20);
  });

  it('takes nothing from a file that is cut off, wherever that is', async () => {
    const text = reference('espi/openespi_test_usage_data_02.xml').toString().trimEnd();
    const begin = text.indexOf('<feed');
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: begin + 1, max: text.length - 1 }), async (length) => {
        const refusal = await refusalOf(read(text.slice(0, length)));
        expect(refusal.code).toBe('AMP_ESPI_XML');
        expect(refusal.problems[0]?.line).toBeGreaterThan(20);
      }),
      runs(60),
    );
  });

  it('ends in a result or a coded refusal, whatever is changed in a file', async () => {
    const good = feedXml(entryXml(typeXml()), entryXml(blockXml({}, { start: START + 3600 })));
    const scraps = fc.constantFrom(
      ...['<', '>', '&', '"', '</IntervalReading>', '<value>', '-1', '1e9', '\u0000', '<![CDATA['],
      ...['<!DOCTYPE x>', '&#x0;', '<?x', '-->', 'xmlns=""', '\uD800', '9'.repeat(30), ''],
    );
    const place = fc.integer({ min: 0, max: good.length });
    const edits = fc.array(fc.tuple(place, fc.integer({ min: 0, max: 30 }), scraps), {
      minLength: 1,
      maxLength: 4,
    });
    const ends = { taken: 0, refused: 0 };
    await fc.assert(
      fc.asyncProperty(edits, async (changes) => {
        let text = good;
        for (const [at, cut, scrap] of changes) {
          text = text.slice(0, at) + scrap + text.slice(at + cut);
        }
        try {
          const { energy } = await read(text);
          expect(Number.isSafeInteger(energy) && energy >= 0).toBe(true);
          ends.taken += 1;
        } catch (error) {
          expect(error).toBeInstanceOf(FileRefused);
          ends.refused += 1;
        }
      }),
      runs(400),
    );
    expect(ends.refused).toBeGreaterThan(0);
  });
});
