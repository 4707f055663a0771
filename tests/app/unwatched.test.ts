import { describe, expect, it } from 'vitest';
import { alertId, alertText, EMPTY_MEMORY } from '../../src/alerts/index.ts';
import { Group } from '../../src/app/group.ts';
import { createWatchLane } from '../../src/app/watch-lane.ts';
import type { Logger } from '../../src/units/index.ts';
import type { Subject } from '../../src/watches/index.ts';
import { loftHouse, memoryOf, NOON } from './loft.ts';

const say = () => undefined;
const mute = { debug: say, info: say, warn: say, error: say, fatal: say } as unknown as Logger;

const alertOf = (subject: Subject) => ({
  id: alertId(`${subject.kind}-silent` as 'plug-silent' | 'probe-silent', subject, NOON),
  watch: `${subject.kind}-silent` as 'plug-silent' | 'probe-silent',
  subject,
  ...({ state: 'open', severity: 'warning', confidence: 'certain', reason: 'gone' } as const),
  ...{ evidence: [], since: NOON, opened: NOON, acknowledged: undefined, closed: undefined },
});

/** What is written of it in the loft, with these known to be silent from before a restart. */
function linesOf(subject: Subject, silent: readonly Subject[] = []): readonly string[] {
  const troubles = silent.map((other) => {
    const trouble = { raisedFrom: NOON, quietFrom: null, unseenFrom: null, seen: NOON };
    const key = `${other.kind}-silent:${other.kind}/${other.id}`;
    return [key, { ...trouble, alert: alertOf(other), refreshed: NOON, relapses: 0 }];
  });
  const stored = { ...EMPTY_MEMORY, troubles: Object.fromEntries(troubles) };
  const alerts = new Map([['memory', JSON.parse(JSON.stringify(stored))]]);
  const lane = createWatchLane(loftHouse(), memoryOf({ alerts }), new Group(), mute, NOON);
  return alertText(alertOf(subject), lane.writer, NOON).evidence;
}

describe('what the daemon writes of a silent plug or probe', () => {
  it('is what this house leaves unwatched without it', () => {
    const lines = linesOf({ kind: 'plug', id: 'one' }).join('\n');
    expect(lines).toContain('Until it speaks again nobody would notice: Tub heater stuck on,');
    expect(linesOf({ kind: 'plug', id: 'two' }).join('\n')).toContain('tub-filter stopped');
    expect(linesOf({ kind: 'plug', id: 'idle' })).toEqual(['Not heard so far.']);
  });

  it('reckons with what was silent before the restart: that stands in for nobody', () => {
    const long: Subject = { kind: 'probe', id: 'tub-water' };
    expect(linesOf(long)).toEqual(['Not heard so far.']);
    const both = linesOf(long, [long, { kind: 'probe', id: 'tub-spare' }]).join('\n');
    expect(both).toContain('Tub heater stuck on');
    expect(both).toContain('The tub too warm, too cold, off its usual need of heat');
  });
});
