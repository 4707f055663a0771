import { describe, expect, it } from 'vitest';
import { isQuiet, liveAlerts, type Recipient } from '../../src/alerts/index.ts';
import { Calendar, instant } from '../../src/units/index.ts';
import { PHONE, postRoom, QUIET, QUIET_OVER, rulesOf } from './post-room.ts';
import { calm, ID, lookEach, MQTT, says } from './rounds.ts';

describe('quiet hours', () => {
  const rules = rulesOf({ quiet_hours: QUIET });

  it('hold back all but critical and tell it in one message at their end', () => {
    const room = postRoom({ rules });
    room.look(0, says('warning', 'a'), says('notice', 'b'), says('critical', 'c'));
    room.acknowledge(1, ID.replace('discus-heater', 'c'));
    room.look(QUIET_OVER - 1, says('warning', 'a'), says('notice', 'b'));
    room.look(QUIET_OVER, says('warning', 'a'), says('notice', 'b'));
    room.look(QUIET_OVER + 1, says('warning', 'a'), says('notice', 'b'));
    expect(room.told).toEqual(['0 opened c > phone', `${QUIET_OVER} summary a+b > phone`]);
    expect(room.decisions.map(({ did, why }) => `${did} ${why}`)).toEqual([
      'told opened',
      'held quiet-hours',
      'held quiet-hours',
      'told quiet-hours-over',
      'told quiet-hours-over',
    ]);
  });

  it('only count what was over or seen before they ended', () => {
    const room = postRoom({ rules });
    room.look(0, says('warning', 'a'), says('warning', 'b'), says('warning', 'c'));
    room.acknowledge(1, ID.replace('discus-heater', 'b'));
    lookEach(room, 2, 20, 1, calm('a'), says('warning', 'b'), says('warning', 'c'));
    room.look(QUIET_OVER, calm('a'), says('warning', 'b'), says('warning', 'c'));
    expect(room.told).toEqual([`${QUIET_OVER} summary c (2 settled) > phone`]);
    expect(Object.keys(room.memory.stories ?? {})).toEqual([
      ID.replace('discus-heater', 'b'),
      ID.replace('discus-heater', 'c'),
    ]);
  });

  it('count even when nothing is left to tell', () => {
    const room = postRoom({ rules });
    room.look(0, says('warning'));
    lookEach(room, 2, 20, 1, calm());
    room.look(QUIET_OVER, calm());
    expect(room.told).toEqual([`${QUIET_OVER} summary  (1 settled) > phone`]);
    expect(room.memory.stories).toEqual({});
  });

  it('tell in the summary of what was told before and ended meanwhile', () => {
    const room = postRoom({ rules });
    room.look(-400, says('warning'));
    lookEach(room, 2, 20, 1, calm());
    room.look(QUIET_OVER, calm());
    expect(room.told).toEqual([
      '-400 opened discus-heater > phone',
      `${QUIET_OVER} summary discus-heater > phone`,
    ]);
  });

  it('list a reminder that was due in them, however shortly something else was repeated', () => {
    const room = postRoom({ rules });
    room.look(-400, says('warning', 'a'));
    const [a] = liveAlerts(room.memory);
    room.snooze(-399, a?.id ?? '', 0);
    room.look(0, says('warning', 'a'));
    lookEach(room, QUIET_OVER - 20, QUIET_OVER, 1, says('warning', 'a'), says('critical', 'b'));
    expect(room.told).toEqual([
      '-400 opened a > phone',
      `${QUIET_OVER - 20} opened b > phone`,
      `${QUIET_OVER - 5} repeated b > phone`,
      `${QUIET_OVER} summary a > phone`,
    ]);
  });

  it('list the end of something held back that came just before they were over', () => {
    const room = postRoom({ rules: rulesOf({ quiet_hours: QUIET, gather_s: 600 }) });
    lookEach(room, -400, -390, 1, says('warning', 'a'));
    const [a] = liveAlerts(room.memory);
    room.snooze(-389, a?.id ?? '', 0);
    room.look(0, says('warning', 'a'));
    lookEach(room, QUIET_OVER - 12, QUIET_OVER, 1, calm('a'));
    expect(room.told).toEqual(['-390 opened a > phone', `${QUIET_OVER} summary a > phone`]);
  });

  it('let through at once what becomes critical, and do not tell it again', () => {
    const room = postRoom({ rules });
    room.look(0, says('warning'));
    room.look(5, says('critical'));
    room.acknowledge(6, ID);
    room.look(QUIET_OVER, says('critical'));
    expect(room.told).toEqual(['5 opened discus-heater > phone']);
  });

  it('say once what each channel missed, and leave states alone', () => {
    const critical: Recipient = { name: 'bell', takes: 'messages', severities: ['critical'] };
    const room = postRoom({ rules, recipients: [PHONE, critical, MQTT] });
    room.look(0, says('warning'));
    room.look(QUIET_OVER, says('warning'));
    expect(room.told).toEqual([
      '0 opened discus-heater > mqtt',
      `${QUIET_OVER} summary discus-heater > phone`,
    ]);
  });

  it('follow the wall clock to the minute, past midnight and over a changed clock', () => {
    const winnipeg = new Calendar('America/Winnipeg');
    const odd = rulesOf({ quiet_hours: { from: '22:10', to: '02:20' } });
    const quietAt = (utc: string): boolean => isQuiet(odd, instant(Date.parse(utc)), winnipeg);
    expect(quietAt('2026-11-26T04:09:59Z')).toBe(false);
    expect(quietAt('2026-11-26T04:10:00Z')).toBe(true);
    expect(quietAt('2026-11-26T06:00:00Z')).toBe(true);
    expect(quietAt('2026-11-26T08:19:59Z')).toBe(true);
    expect(quietAt('2026-11-26T08:20:00Z')).toBe(false);
    // On 1 November 2026 the clock goes back at 2:00 CDT: 01:30 comes twice, 02:20 once.
    expect(quietAt('2026-11-01T06:30:00Z')).toBe(true);
    expect(quietAt('2026-11-01T07:30:00Z')).toBe(true);
    expect(quietAt('2026-11-01T08:19:00Z')).toBe(true);
    expect(quietAt('2026-11-01T08:20:00Z')).toBe(false);
    expect(isQuiet(rulesOf(), instant(0), winnipeg)).toBe(false);
  });
});
