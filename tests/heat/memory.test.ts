import { describe, expect, it } from 'vitest';
import {
  cutWindows,
  emptyHeatMemory,
  fitOf,
  type HeatMemory,
  readHeatMemory,
  withWindow,
} from '../../src/heat/index.ts';
import { CodedError } from '../../src/units/index.ts';
import { simulateTank } from './simulated-tank.ts';

const tank = simulateTank({ seed: 11, days: 100 });
const store = tank.prior.storeJPerK;
const windows = cutWindows(tank.slots);
const take = (memory: HeatMemory, some: typeof windows) =>
  some.reduce((sum, window) => withWindow(sum, window, store), memory);

describe('the memory of a heat loss', () => {
  const whole = take(emptyHeatMemory, windows);

  it('is the same when stored and read in between', () => {
    const half = take(emptyHeatMemory, windows.slice(0, 200));
    const read = readHeatMemory(JSON.parse(JSON.stringify(half)));
    expect(take(read, windows.slice(200))).toEqual(whole);
  });

  it('takes nothing twice', () => {
    expect(take(whole, windows.slice(-30))).toEqual(whole);
  });

  it('keeps 30 days and no more, in less than 10 kB', () => {
    expect(windows.length).toBeGreaterThan(400);
    expect(whole.days).toHaveLength(30);
    expect(JSON.stringify(whole).length).toBeLessThan(10_000);
    expect(fitOf(whole, tank.prior).days).toBe(30);
  });

  it('follows a tank that changes: a lid taken off long ago is all it knows', () => {
    const later = windows.map((window) => ({ ...window, heaterW: window.heaterW * 1.4 + 5 }));
    const changed = take(take(emptyHeatMemory, windows.slice(0, 100)), later.slice(100));
    const only = take(emptyHeatMemory, later.slice(100));
    expect(fitOf(changed, tank.prior).lossWPerK).toBe(fitOf(only, tank.prior).lossWPerK);
  });

  it('takes no window whose figures are not numbers', () => {
    const [first] = windows;
    if (first === undefined) throw new Error('no window');
    expect(take(emptyHeatMemory, [{ ...first, meanRoomC: Number.NaN }])).toBe(emptyHeatMemory);
  });

  it('refuses what is no memory, with a code', () => {
    const damaged = [
      undefined,
      null,
      {},
      { ...whole, version: 2 },
      { ...whole, days: [{ ...whole.days[0], mean: [1, null, 2] }] },
      { ...whole, days: [null] },
    ];
    for (const stored of damaged) {
      expect(() => readHeatMemory(stored)).toThrow(
        expect.objectContaining({ code: 'AMP_HEAT_MEMORY' }) as CodedError,
      );
    }
    expect(() => readHeatMemory({ version: 0 })).toThrow(CodedError);
  });
});
