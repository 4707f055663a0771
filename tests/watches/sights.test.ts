import { describe, expect, it } from 'vitest';
import { HOUR, instant, MINUTE } from '../../src/units/index.ts';
import { createSights, savedSights, see, takeUnsaved } from '../../src/watches/index.ts';
import { planOf, reading, usualSite } from './scenario.ts';

const START = instant(Date.UTC(2026, 4, 1));
const at = (minutes: number) => instant(START + minutes * MINUTE);
const usual = () => createSights(planOf(usualSite()));

describe('what is known of the sources', () => {
  it('takes no retained value for news, but a retained presence', () => {
    const sights = usual();
    see(sights, reading('water', 25, at(0), { retained: true }));
    see(sights, reading('heater', 148, at(0), { retained: true }));
    see(sights, { ...reading('heater', 0, at(0), { retained: true }), measure: 'presence' });
    expect(sights.probes.get('water')?.sight.heard).toBeUndefined();
    expect(sights.plugs.get('heater')?.sight).toMatchObject({ heard: undefined, presence: 'gone' });
    expect(sights.heaters.get('heater')?.sight.drawing).toBeUndefined();
  });

  it('passes over sources that the plan does not have', () => {
    const sights = usual();
    const before = savedSights(sights);
    see(sights, { ...reading('water', 25, at(0)), id: 'elsewhere' });
    expect(savedSights(sights)).toEqual(before);
  });

  it('takes nothing that is older than the last, unless the clock was set back', () => {
    const sights = usual();
    see(sights, reading('heater', 148, at(300)));
    see(sights, reading('heater', 0, at(299), { arrived: at(300) }));
    expect(sights.heaters.get('heater')?.sight.drawing).toBe(true);
    see(sights, reading('heater', 0, at(0)));
    expect(sights.heaters.get('heater')?.sight).toMatchObject({ drawing: false, since: at(0) });
  });

  it('learns the on-power as a median, past the inrush', () => {
    const sights = usual();
    for (const [i, watts] of [1194, 148, 149, 147, 148, 300, 148].entries()) {
      see(sights, reading('heater', watts, at(i)));
    }
    expect(sights.heaters.get('heater')?.sight.onPower).toBe(148);
  });

  it('says since when a heater draws, and keeps to it between the two thresholds', () => {
    const sights = usual();
    for (const [i, watts] of [0, 148, 147, 10, 148, 1].entries()) {
      see(sights, reading('heater', watts, at(i)));
      const { drawing, since } = sights.heaters.get('heater')?.sight ?? {};
      expect({ drawing, since }).toEqual(
        i === 0
          ? { drawing: false, since: at(0) }
          : i < 5
            ? { drawing: true, since: at(1) }
            : { drawing: false, since: at(5) },
      );
    }
  });

  it('counts the time of a state anew after a silence in which it may have changed', () => {
    const sights = usual();
    see(sights, reading('heater', 0, at(0)));
    see(sights, reading('heater', 0, at(5 * 60)));
    expect(sights.heaters.get('heater')?.sight.since).toBe(at(300));
  });

  it('hands out only what has changed, each once', () => {
    const sights = usual();
    expect(takeUnsaved(sights)).toEqual([]);
    see(sights, reading('water', 25, at(0)));
    expect(takeUnsaved(sights).map(({ key }) => key)).toEqual(['probe:water']);
    see(sights, reading('heater', 0, at(1)));
    expect(takeUnsaved(sights).map(({ key }) => key)).toEqual(['plug:heater', 'heater:heater']);
    expect(takeUnsaved(sights)).toEqual([]);
  });

  it('is taken over for sources that stay, and dropped for those that are gone', () => {
    const both = createSights(
      planOf({ ...usualSite(), sources: new Set(['water', 'water-2', 'heater']) }),
    );
    see(both, reading('water', 25, at(0)));
    see(both, reading('water-2', 26, at(0)));
    const one = createSights(planOf(usualSite()), savedSights(both));
    expect(one.probes.get('water')?.sight.heard).toBe(at(0));
    expect(one.probes.has('water-2')).toBe(false);
    expect(one.probes.get('room')?.sight.heard).toBeUndefined();
  });

  it('does not take the time it was away for a habit of the source', () => {
    const sights = usual();
    see(sights, reading('water', 25, at(0)));
    const later = createSights(planOf(usualSite()), savedSights(sights));
    see(later, reading('water', 25, instant(START + 9 * HOUR)));
    expect(later.probes.get('water')?.sight.gaps.since).toBeUndefined();
    see(later, reading('water', 25, instant(START + 9 * HOUR + MINUTE)));
    expect(later.probes.get('water')?.sight.gaps.since).toBeDefined();
  });

  it('remembers no more after a month than after the fortnight that it looks back', () => {
    const sights = usual();
    const size = () => JSON.stringify(savedSights(sights)).length;
    const live = (from: number, to: number) => {
      for (let minute = from; minute < to; minute += 5) {
        see(sights, reading('water', 25 + (minute % 60) / 100, at(minute)));
        see(sights, reading('room', 20 + (minute % 60) / 100, at(minute)));
        see(sights, reading('heater', minute % 60 < 20 ? 148 : 0, at(minute)));
      }
    };
    live(0, 16 * 24 * 60);
    const fortnight = size();
    live(16 * 24 * 60, 30 * 24 * 60);
    expect(size()).toBeLessThan(fortnight * 1.05);
    expect(fortnight).toBeLessThan(8000);
  });
});
