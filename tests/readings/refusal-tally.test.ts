import { describe, expect, it } from 'vitest';
import { createRefusalTally, type Refusal } from '../../src/readings/index.ts';
import { type Instant, instant } from '../../src/units/index.ts';

const at = (seconds: number): Instant => instant(Date.UTC(2026, 0, 14, 12) + seconds * 1000);

const refusal = (over: Partial<Refusal> = {}, seconds = 0): Refusal => ({
  reason: 'sentinel',
  topic: 'water/discus',
  feed: 'water',
  measure: 'temperature',
  source: { from: 'probe', id: 'discus' },
  found: '85',
  at: at(seconds),
  ...over,
});

describe('the refusal tally', () => {
  it('counts by reason, feed and source, with the last that was found', () => {
    const tally = createRefusalTally();
    tally.note(refusal(), at(0));
    tally.note(refusal({ found: '-127' }, 5), at(5));
    tally.note(refusal({ reason: 'no-value' }, 6), at(6));
    tally.note(refusal({ source: { from: 'plug', id: 'discus' } }, 7), at(7));
    expect(tally.total()).toBe(4);
    expect(tally.counts().map(({ count }) => count)).toEqual([2, 1, 1]);
    expect(tally.counts()[0]).toEqual({
      reason: 'sentinel',
      feed: 'water',
      source: { from: 'probe', id: 'discus' },
      count: 2,
      first: at(0),
      last: at(5),
      topic: 'water/discus',
      found: '-127',
    });
  });

  it('finds the first of a kind worth logging, then one a minute with what went unmentioned', () => {
    const tally = createRefusalTally();
    const mentions = [0, 1, 59.9, 60, 61, 200].map((now) => tally.note(refusal(), at(now)));
    expect(mentions).toEqual([
      { worthLogging: true, unmentioned: 0 },
      { worthLogging: false },
      { worthLogging: false },
      { worthLogging: true, unmentioned: 2 },
      { worthLogging: false },
      { worthLogging: true, unmentioned: 1 },
    ]);
    expect(tally.note(refusal({ reason: 'implausible' }), at(200)).worthLogging).toBe(true);
  });

  it('is not silenced by a clock that is set back', () => {
    const tally = createRefusalTally();
    tally.note(refusal(), at(10_000));
    expect(tally.note(refusal(), at(0)).worthLogging).toBe(true);
    expect(tally.note(refusal(), at(1)).worthLogging).toBe(false);
  });

  it('keeps its size under any number of kinds, and loses no count', () => {
    const tally = createRefusalTally({ kinds: 10 });
    let logged = 0;
    for (let kind = 0; kind < 500; kind += 1) {
      const source = { from: 'probe' as const, id: `probe-${kind}` };
      if (tally.note(refusal({ source }), at(1)).worthLogging) logged += 1;
      tally.note(refusal({ source, reason: 'no-value' }), at(1));
    }
    expect(tally.counts()).toHaveLength(12);
    expect(tally.counts().reduce((sum, { count }) => sum + count, 0)).toBe(1000);
    expect(tally.total()).toBe(1000);
    expect(logged).toBe(6);
    expect(tally.counts().at(-1)).toMatchObject({ feed: undefined, source: undefined });
    expect(tally.note(refusal({ source: { from: 'probe', id: 'probe-0' } }), at(2))).toEqual({
      worthLogging: false,
    });
  });
});
