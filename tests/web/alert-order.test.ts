import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { orderAlerts } from '../../src/web/alert-order.ts';
import type { AlertView } from '../../src/web/index.ts';
import { alert, crowdedRoom, NIGHT } from './views.ts';

const SEVERITIES = ['critical', 'warning', 'notice'] as const;
const STATES = ['open', 'acknowledged'] as const;

const some = fc
  .array(fc.tuple(fc.constantFrom(...SEVERITIES), fc.constantFrom(...STATES)), { maxLength: 60 })
  .map((list) =>
    list.map(([severity, state], index) => alert({ title: `${index}`, severity, state })),
  );

const worse = (a: AlertView, b: AlertView): boolean =>
  a.state === b.state && SEVERITIES.indexOf(a.severity) < SEVERITIES.indexOf(b.severity);

describe('the order of alerts', () => {
  it('loses none and tells none twice', () => {
    fc.assert(
      fc.property(some, (alerts) => {
        const { full, lines, folded } = orderAlerts(alerts);
        const told = [...full, ...lines, ...folded];
        expect(new Set(told)).toEqual(new Set(alerts));
        expect(told).toHaveLength(alerts.length);
      }),
    );
  });

  it('never puts a lesser alert before a worse one of the same state', () => {
    fc.assert(
      fc.property(some, (alerts) => {
        const { full, lines, folded } = orderAlerts(alerts);
        const told = [...full, ...lines, ...folded];
        for (let at = 1; at < told.length; at += 1) {
          expect(worse(told[at] as AlertView, told[at - 1] as AlertView)).toBe(false);
        }
      }),
    );
  });

  it('never folds a critical one away while it is open', () => {
    fc.assert(
      fc.property(some, (alerts) => {
        const hidden = orderAlerts(alerts).folded;
        expect(
          hidden.filter(({ severity, state }) => severity === 'critical' && state === 'open'),
        ).toEqual([]);
      }),
    );
  });

  it('tells the two worst in full, six more in a line each, and folds the rest', () => {
    const { full, lines, folded } = orderAlerts(crowdedRoom().alerts);
    expect(full.map(({ text }) => text.title)).toEqual([
      'Heater stuck on: Reed heater (Reed pool)',
      'Water too cold: Moss bay',
    ]);
    expect(lines.map(({ severity }) => severity)).toEqual([
      'critical',
      'warning',
      'critical',
      'notice',
      'notice',
      'notice',
    ]);
    expect(lines[2]?.state).toBe('acknowledged');
    expect(folded.map(({ severity }) => severity)).toEqual(Array(40).fill('notice'));
  });

  it('tells notices and what is acknowledged or snoozed in a line', () => {
    const { full, lines } = orderAlerts([
      alert({ severity: 'notice' }),
      alert({ state: 'acknowledged' }),
      alert({ severity: 'warning', snoozedUntil: NIGHT }),
    ]);
    expect(full).toEqual([]);
    expect(lines.map(({ severity }) => severity)).toEqual(['critical', 'warning', 'notice']);
  });
});
