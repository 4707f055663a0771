import { describe, expect, it } from 'vitest';
import { costOf, costText, energyText } from '../../src/web/sums.ts';
import { createWords } from '../../src/web/words.ts';
import { kwh, money, sumOf, UNKNOWN } from './views.ts';

const words = createWords({ locale: 'en-CA', currency: 'CAD', zone: 'America/Winnipeg' });
const told = (...sum: Parameters<typeof sumOf>): string => costText(sumOf(...sum), words);

describe('a cost as it is told', () => {
  it('is plain when it was measured', () => {
    expect(told({ counted: 10 })).toBe('$2.00');
    expect(told({ counted: 6, integrated: 4 })).toBe('$2.00');
  });

  it('is about when more than a tenth is reckoned or bridged', () => {
    expect(told({ counted: 9, reckoned: 1 })).toBe('$2.00');
    expect(told({ counted: 8.9, reckoned: 1.1 })).toBe('~$2.00');
    expect(told({ counted: 8.9, reckoned: 0.6, bridged: 0.5 })).toBe('~$2.00');
    expect(told({ reckoned: 10 })).toBe('~$2.00');
  });

  it('is nothing only when nothing was used', () => {
    expect(told({})).toBe('$0.00');
    expect(told({}, { coverage: undefined })).toBe('$0.00');
    expect(told({ counted: 0.01 })).toBe('<$0.01');
  });

  it('is unknown when nothing is known, and then has no energy either', () => {
    expect(costOf(UNKNOWN, words)).toEqual({ text: 'unknown', about: false, more: false });
    expect(energyText(UNKNOWN, words)).toBe('');
    expect(energyText(sumOf({}), words)).toBe('0.000 kWh');
  });

  it('has no price when no tariff holds, and is more where one holds for a part', () => {
    const unpriced = kwh(10);
    expect(told({ counted: 10 }, { unpriced, cost: money(0) })).toBe('no price');
    expect(told({ counted: 12 }, { unpriced, cost: money(0.4) })).toBe('$0.40+');
    expect(told({ reckoned: 12 }, { unpriced, cost: money(0.4) })).toBe('~$0.40+');
  });

  it('is more when nothing is known of more than a tenth of the time', () => {
    expect(told({ counted: 10 }, { coverage: 0.95 })).toBe('$2.00');
    expect(told({ counted: 10 }, { coverage: 0.85 })).toBe('$2.00+');
    expect(told({}, { coverage: 0.5 })).toBe('$0.00+');
  });

  it('keeps its sign where power was sold', () => {
    expect(told({ counted: -10 })).toBe('-$2.00');
  });
});
