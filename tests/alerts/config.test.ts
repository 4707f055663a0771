import { describe, expect, it } from 'vitest';
import { alertsConfig } from '../../src/alerts/config.ts';
import { tellingRules } from '../../src/alerts/index.ts';
import { MINUTE, SECOND } from '../../src/units/index.ts';

describe('the config of alerts', () => {
  it('repeats each quarter of an hour, gathers half a minute, and knows no quiet hours unless told', () => {
    const config = alertsConfig.parse(undefined);
    expect(config).toEqual({ repeat_min: 15, gather_s: 30, tending_min: 60 });
    expect(tellingRules(config)).toEqual({
      gather: 30 * SECOND,
      repeatEvery: 15 * MINUTE,
      quietHours: [],
    });
  });

  it('takes quiet hours past midnight', () => {
    const config = alertsConfig.parse({ quiet_hours: { from: '22:30', to: '06:45' } });
    expect(tellingRules(config).quietHours).toEqual([
      { from: 0, to: 405 },
      { from: 1350, to: 1440 },
    ]);
  });

  it.each([
    ['quiet hours that end as they begin', { quiet_hours: { from: '22:00', to: '22:00' } }],
    ['a time that no clock shows', { quiet_hours: { from: '25:00', to: '07:00' } }],
    ['quiet hours without an end', { quiet_hours: { from: '22:00' } }],
    ['repetitions every minute', { repeat_min: 1 }],
    ['a tending of more than eight hours', { tending_min: 481 }],
    ['a key that it does not know', { quiet: true }],
  ])('refuses %s', (_, config) => {
    expect(alertsConfig.safeParse(config).success).toBe(false);
  });
});
