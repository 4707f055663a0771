import { describe, expect, it } from 'vitest';
import { createLatest } from '../../src/app/latest.ts';
import { MINUTE } from '../../src/units/index.ts';
import type { Finding, Look } from '../../src/watches/index.ts';
import { loftHouse, NOON, reading } from './loft.ts';

const house = loftHouse();

type Heeded = Pick<Look, 'watch' | 'subject' | 'finding'>;

const look = (
  watch: Look['watch'],
  kind: 'plug' | 'probe' | 'tank',
  id: string,
  verdict: Finding['verdict'],
  reason = 'silent',
): Heeded => ({
  watch,
  subject: { kind, id },
  finding: {
    verdict,
    severity: 'warning',
    reason,
    confidence: 'likely',
    evidence: [],
    hold: MINUTE,
  },
});

describe('the latest values', () => {
  it('are the last of each source and measure, unknown before the first', () => {
    const latest = createLatest(() => house);
    expect(latest.plugPower('one')).toBeUndefined();
    expect(latest.tankTemperature('tub')).toBeUndefined();
    latest.take(reading('one', 'power', 90, NOON));
    latest.take(reading('one', 'counter', 1234, NOON + 1));
    latest.take(reading('one', 'power', 95, NOON + 2));
    latest.take(reading('loft-air', 'temperature', 20.5, NOON));
    latest.take(reading('loft-air', 'humidity', 48, NOON));
    expect(latest.plugPower('one')).toEqual({ value: 95, at: NOON + 2, stale: false });
    expect(latest.roomTemperature('loft')?.value).toBe(20.5);
    expect(latest.roomHumidity('loft')?.value).toBe(48);
    expect(latest.roomTemperature('den')).toBeUndefined();
    expect(latest.plugPower('two')).toBeUndefined();
  });

  it('never come from what the broker had kept', () => {
    const latest = createLatest(() => house);
    latest.take(reading('one', 'power', 90, NOON, { retained: true }));
    expect(latest.plugPower('one')).toBeUndefined();
  });

  it('are old when the source is missed, or the broker is away, and fresh once it is not', () => {
    const latest = createLatest(() => house);
    latest.take(reading('one', 'power', 90, NOON));
    const isStale = (...looks: Heeded[]): boolean | undefined => {
      latest.heed(looks);
      return latest.plugPower('one')?.stale;
    };
    expect(isStale(look('plug-silent', 'plug', 'one', 'raised'))).toBe(true);
    expect(isStale(look('plug-silent', 'plug', 'one', 'quiet', 'speaks'))).toBe(false);
    expect(isStale(look('plug-silent', 'plug', 'one', 'unknown', 'broker-away'))).toBe(true);
    expect(isStale(look('plug-silent', 'plug', 'one', 'unknown', 'not-heard-yet'))).toBe(false);
    expect(isStale(look('plug-silent', 'plug', 'two', 'raised'))).toBe(false);
    expect(isStale(look('probe-silent', 'probe', 'one', 'raised'))).toBe(false);
    expect(isStale(look('tank-too-cold', 'tank', 'one', 'raised'))).toBe(false);
    expect(isStale()).toBe(false);
  });

  it('of a tank with several probes are those of one that is not missed, else the newest', () => {
    const latest = createLatest(() => house);
    latest.take(reading('tub-spare', 'temperature', 24, NOON));
    latest.take(reading('tub-water', 'temperature', 25, NOON + MINUTE));
    expect(latest.tankTemperature('tub')?.value).toBe(25);
    latest.heed([look('probe-silent', 'probe', 'tub-water', 'raised')]);
    expect(latest.tankTemperature('tub')).toEqual({ value: 24, at: NOON, stale: false });
    latest.heed(
      ['tub-water', 'tub-spare'].map((id) => look('probe-silent', 'probe', id, 'raised')),
    );
    expect(latest.tankTemperature('tub')).toMatchObject({ value: 25, stale: true });
  });

  it('follow the house when probes are moved', () => {
    let current = house;
    const latest = createLatest(() => current);
    latest.take(reading('tub-spare', 'temperature', 24, NOON));
    current = loftHouse(['tub-spare: { tank: tub }', 'tub-spare: { tank: reeds }']);
    expect(latest.tankTemperature('tub')).toBeUndefined();
    expect(latest.tankTemperature('reeds')?.value).toBe(24);
  });
});
