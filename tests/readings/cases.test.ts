import { describe, expect, it } from 'vitest';
import { compileFeeds } from '../../src/readings/index.ts';
import { messageOf, payloadCases, readingLine, refusalLine } from './case.ts';

const cases = payloadCases();

describe('what plugs and probes send', () => {
  it('is covered by at least thirty shapes', () => {
    expect(cases.length).toBeGreaterThanOrEqual(30);
  });

  it.each(cases)('$name', ({ feeds, plugs, probes, messages }) => {
    const book = compileFeeds(feeds, { plugs, probes });
    for (const [index, given] of messages.entries()) {
      const { readings, refusals } = book.decode(messageOf(given));
      expect(
        { readings: readings.map(readingLine), refusals: refusals.map(refusalLine) },
        `message ${index + 1} on ${given.topic}`,
      ).toEqual({ readings: given.readings, refusals: given.refusals });
    }
  });
});
