import { describe, expect, it } from 'vitest';
import type { TonightView } from '../../src/web/index.ts';
import { html, textOf } from './page.ts';
import { kwh, money, room, tank } from './views.ts';

const tonight = (over: Partial<TonightView> = {}): TonightView => ({
  energy: kwh(4.1),
  cost: { value: money(0.84), low: money(0.7), high: money(0.98) },
  learnedDays: 20,
  offBy: undefined,
  ...over,
});

const pageWith = (it: TonightView | undefined): string =>
  textOf(html(room({ tanks: [tank({ tonight: it })] })));

describe('tonight on a tank’s card', () => {
  it('says about what heating it will cost, with its band, and that this is reckoned', () => {
    expect(pageWith(tonight())).toContain(
      'Heating tonight about $0.84 ($0.70 to $0.98), 4.10 kWh; reckoned as learned over 20 days',
    );
  });

  it('says how far that is off usually, once it is known', () => {
    expect(pageWith(tonight({ offBy: 0.12 }))).toContain('20 days, usually off by 12%');
    expect(pageWith(tonight())).not.toContain('usually off');
  });

  it('says so where it goes by the tank’s size alone', () => {
    expect(pageWith(tonight({ learnedDays: undefined }))).toContain(
      'reckoned from the tank’s size',
    );
  });

  it('claims no cost where a price is missing', () => {
    const page = pageWith(tonight({ cost: undefined }));
    expect(page).toContain('Heating tonight about 4.10 kWh, not all of it priced yet');
  });

  it('says nothing by day', () => {
    expect(pageWith(undefined)).not.toContain('tonight');
  });
});

describe('tonight among the costs', () => {
  it('is the sum over the tanks that have one, told as reckoned', () => {
    const page = textOf(html(room({ tonight: { cost: money(5.1), tanks: 9 } })));
    expect(page).toContain('Heating tonight: about $5.10, reckoned for 9 tanks.');
  });
});
