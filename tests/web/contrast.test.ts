import { describe, expect, it } from 'vitest';
import { contrast } from './contrast.ts';

describe('the contrast of two colors', () => {
  it('runs from 1 to 21', () => {
    expect(contrast('rgb(9, 9, 9)', 'rgb(9, 9, 9)')).toBe(1);
    expect(contrast('rgb(0, 0, 0)', 'rgb(255, 255, 255)')).toBeCloseTo(21, 10);
  });

  it('finds the gray that just fails on white, and the one that just passes', () => {
    // The well-known pair #777777 (4.48) and #767676 (4.54); from memory.
    expect(contrast('rgb(119, 119, 119)', 'rgb(255, 255, 255)')).toBeCloseTo(4.48, 2);
    expect(contrast('rgb(255, 255, 255)', 'rgb(118, 118, 118)')).toBeCloseTo(4.54, 2);
  });

  it('refuses to judge a color that lets another through', () => {
    expect(() => contrast('rgba(0, 0, 0, 0.5)', 'rgb(0, 0, 0)')).toThrow('not an opaque color');
  });
});
