import { describe, expect, it } from 'vitest';
import { instant } from '../../src/units/index.ts';
import { loftHouse, NOON } from './loft.ts';

describe('a house made ready', () => {
  const house = loftHouse();

  it('meters each plug for the one device that it feeds, as the config says', () => {
    expect([...house.meters].map(([plug, { device }]) => [plug, device])).toEqual([
      ['one', 'tub-heater'],
      ['two', 'tub-filter'],
      ['three', 'sand-mat'],
    ]);
    expect(house.meters.get('one')?.spec).toMatchObject({
      plug: 'one',
      limit: 1000,
      reporting: 'on-change',
      usualInterval: 60_000,
      maxGap: 600_000,
      counterRestarts: 'never',
      counterWrapsAt: undefined,
    });
    expect(house.meters.get('two')?.spec).toMatchObject({
      reporting: 'interval',
      usualInterval: undefined,
      maxGap: undefined,
    });
    expect(house.meters.get('three')?.spec).toMatchObject({
      counterRestarts: 'at-power-on',
      counterWrapsAt: 10_000,
    });
  });

  it('bridges what a thermostat switches by its duty, and takes a twentieth for drawing', () => {
    const specOf = (plug: string) => house.meters.get(plug)?.spec;
    expect(specOf('one')).toMatchObject({ bridge: 'mean-duty', drawing: 10 });
    expect(specOf('three')).toMatchObject({ bridge: 'mean-duty', drawing: 1.5 });
    // Half a watt at least: less is the plug's own noise.
    expect(specOf('two')).toMatchObject({ bridge: 'last-power', drawing: 0.5 });
  });

  it('reckons the devices without a plug, and them alone', () => {
    expect(house.reckoned.map(({ device, nameplate }) => [device, nameplate])).toEqual([
      ['blower', 12],
      ['lamp', 40],
    ]);
  });

  it('knows whose every device is', () => {
    const today = house.calendar.day(NOON).from;
    expect(house.basis.shares.of('tub-heater', today)).toMatchObject({
      kind: 'fixed',
      shares: [{ tank: 'tub' }],
    });
    expect(house.basis.shares.of('blower', today)).toEqual({
      kind: 'fixed',
      shares: [
        { tank: 'reeds', weight: 250_000 },
        { tank: 'tub', weight: 750_000 },
      ],
    });
    expect(house.basis.shares.of('lamp', today)).toMatchObject({ shares: [{ tank: 'upkeep' }] });
    expect(house.basis.shares.tanks).toEqual(['reeds', 'sand', 'tub', 'upkeep']);
  });

  it('reads the feeds, the rates and the calendar of the site', () => {
    expect(house.feeds.filters).toEqual(['loft/+', 'climate/+']);
    expect(house.basis.tariffs.rateAt(instant(Date.UTC(2019, 5, 1)))).toBeUndefined();
    expect(house.basis.tariffs.rateAt(NOON)?.price).toEqual({ kind: 'fixed', perKwh: 100_000 });
    expect(house.calendar.zone).toBe('America/Winnipeg');
  });
});
