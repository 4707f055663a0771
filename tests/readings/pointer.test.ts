import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { feedsConfig } from '../../src/readings/config.ts';
import { compilePointer, follow, pointerOf } from '../../src/readings/pointer.ts';

const examples = JSON.parse(
  readFileSync(new URL('../reference/mqtt/rfc6901_examples.json', import.meta.url), 'utf8'),
) as { document: object; pointers: Record<string, unknown>; errors: string[] };

const schemaAccepts = (at: string) =>
  feedsConfig.safeParse({ a: { topic: 'a', values: [{ measure: 'power', plug: 'p', at }] } })
    .success;

describe('a JSON Pointer', () => {
  it.each(Object.entries(examples.pointers))(
    '%s finds what RFC 6901 section 5 says',
    (at, there) => {
      expect(schemaAccepts(at)).toBe(true);
      expect(follow(examples.document, compilePointer(at))).toEqual(there);
    },
  );

  it('that is empty finds the whole document (RFC 6901 section 5)', () => {
    expect(follow(examples.document, compilePointer(''))).toBe(examples.document);
  });

  it('unescapes ~01 to ~1 (RFC 6901 section 4)', () => {
    expect(follow({ '~1': 1, '/': 2 }, compilePointer('/~01'))).toBe(1);
  });

  it.each(['/foo/-', '/foo/01', '/foo/2', '/foo/1e0', '/foo/length'])(
    '%s leads nowhere in a list of two (RFC 6901 section 4)',
    (at) => {
      expect(follow(examples.document, compilePointer(at))).toBeUndefined();
    },
  );

  it.each(['foo', '/m~2n', '/m~', '#/foo'])('%s is no pointer for the config', (at) => {
    expect(schemaAccepts(at)).toBe(false);
  });

  it('made from keys finds its way back through any document', () => {
    const step = fc.oneof(fc.string({ unit: 'binary' }), fc.nat({ max: 5 }));
    fc.assert(
      fc.property(fc.array(step, { maxLength: 6 }), fc.jsonValue(), (steps, leaf) => {
        const document = steps.reduceRight<unknown>(
          (inner, at) =>
            typeof at === 'number'
              ? Array.from({ length: at + 1 }, (_, index) => (index === at ? inner : null))
              : Object.fromEntries([[at, inner]]),
          leaf,
        );
        expect(follow(document, compilePointer(pointerOf(steps)))).toEqual(leaf);
      }),
    );
  });
});
