import { describe, expect, it } from 'vitest';
import { EMPTY_MEMORY, endTending, type Look, runningTendings } from '../../src/alerts/index.ts';
import { SILENCED_BY_TENDING } from '../../src/alerts/tending.ts';
import type { Finding, Subject, WatchName } from '../../src/watches/index.ts';
import { finding, look, minutes } from './looks.ts';
import { at, postRoom, QUIET, rulesOf } from './post-room.ts';

const TANK = 'discus';
const judged = (
  watch: WatchName,
  subject: Subject,
  verdict: Finding['verdict'],
  hold = minutes(0),
): Look => look({ watch, subject, room: 'den', tank: TANK, finding: finding({ verdict, hold }) });

const heaterOff = (verdict: Finding['verdict'] = 'raised', hold = minutes(60)): Look =>
  judged('heater-not-heating', { kind: 'device', id: 'heater' }, verdict, hold);
const tooCold = (verdict: Finding['verdict'] = 'raised'): Look =>
  judged('tank-too-cold', { kind: 'tank', id: TANK }, verdict);
const plugSilent = (verdict: Finding['verdict'] = 'raised'): Look =>
  judged('plug-silent', { kind: 'plug', id: 'plug' }, verdict);
const tooWarm = judged('tank-too-warm', { kind: 'tank', id: TANK }, 'raised');
const stuckOn = judged('heater-stuck-on', { kind: 'device', id: 'heater' }, 'raised');

type Room = ReturnType<typeof postRoom>;
const lookEach = (room: Room, from: number, to: number, ...looks: Look[]): void => {
  for (let minute = from; minute <= to; minute++) room.look(minute, ...looks);
};

describe('a tending', () => {
  it('silences what is off or away of its tank, and of no other', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    const other = {
      ...plugSilent(),
      tank: 'shrimp',
      subject: { kind: 'plug', id: 'other' } as const,
    };
    lookEach(room, 0, 59, heaterOff('raised', minutes(5)), tooCold(), plugSilent(), other);
    expect(room.told).toEqual(['0 opened other > phone']);
  });

  it('never silences too much heat', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    room.look(1, tooWarm, stuckOn);
    expect(room.told).toEqual(['1 opened heater+discus > phone']);
    for (const watch of ['tank-too-warm', 'heater-stuck-on', 'mat-overheating', 'heater-unheard']) {
      expect(SILENCED_BY_TENDING.has(watch)).toBe(false);
    }
  });

  it('does not count toward a hold: after it there is still time to plug in again', () => {
    const room = postRoom();
    room.tend(0, TANK, 30);
    lookEach(room, 0, 100, tooCold('quiet'), heaterOff('raised', minutes(60)));
    expect(room.told).toEqual(['30 opened discus > phone', '90 opened heater > phone']);
  });

  it('lets an alert that was open before close, but not repeat', () => {
    const critical = {
      ...tooCold(),
      finding: finding({ severity: 'critical', hold: minutes(0) }),
    };
    const room = postRoom();
    room.look(0, critical);
    room.tend(1, TANK, 61);
    lookEach(room, 2, 40, critical);
    lookEach(room, 41, 60, tooCold('quiet'));
    expect(room.told).toEqual(['0 opened discus > phone', '51 closed discus > phone']);
  });

  it('lets the repeats go on once it is over', () => {
    const critical = {
      ...tooCold(),
      finding: finding({ severity: 'critical', hold: minutes(0) }),
    };
    const room = postRoom();
    room.look(0, critical);
    room.tend(1, TANK, 61);
    lookEach(room, 2, 62, critical);
    expect(room.told).toEqual(['0 opened discus > phone', '61 repeated discus > phone']);
  });

  it.each([
    ['past', 0],
    ['more than eight hours away', 8 * 60 + 1],
    ['no time', Number.NaN],
  ])('is refused when its end is %s', (_, until) => {
    expect(() => postRoom().tend(0, TANK, until)).toThrow(
      expect.objectContaining({ code: 'AMP_ALERTS_TENDING' }),
    );
  });

  it('is listed while it runs, and can be ended or begun anew', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    room.tend(1, 'shrimp', 30);
    room.tend(2, TANK, 90);
    expect(runningTendings(room.memory, at(3)).map(({ tank, until }) => [tank, until])).toEqual([
      ['shrimp', at(30)],
      [TANK, at(90)],
    ]);
    room.done(4, TANK);
    expect(runningTendings(room.memory, at(5)).map(({ tank }) => tank)).toEqual(['shrimp']);
    expect(runningTendings(room.memory, at(30))).toEqual([]);
    const { memory } = room;
    room.done(31, TANK);
    expect(room.memory).toBe(memory);
    expect(endTending(EMPTY_MEMORY, '__proto__', at(0))).toBe(EMPTY_MEMORY);
  });

  it('is over after the clock was set back by more than it may last', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    room.look(-24 * 60, plugSilent());
    expect(room.told).toEqual(['-1440 opened discus+plug > phone']);
  });
});

describe('after a tending', () => {
  const reminders = (room: Room) =>
    room.tellings.filter(({ telling }) => telling.alert.watch === 'after-tending');

  it.each([
    ['a heater draws nothing although it is cold', heaterOff(), 'heater-off'],
    ['a plug is still away', plugSilent(), 'plug-away'],
  ])('reminds once when %s', (_, left, reason) => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    lookEach(room, 0, 90, left);
    expect(reminders(room).map(({ at: minute, telling }) => [minute, telling.change])).toEqual([
      [60, 'opened'],
    ]);
    expect(reminders(room)[0]?.telling.alert).toMatchObject({ reason, severity: 'warning' });
  });

  it('reminds when the keeper ends it, and says when everything is back', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    room.look(1, heaterOff());
    room.done(20, TANK);
    lookEach(room, 20, 25, heaterOff());
    lookEach(room, 26, 120, heaterOff('quiet'));
    expect(room.told).toEqual(['20 opened discus > phone', '36 closed discus > phone']);
    expect(room.memory.tendings).toEqual({});
  });

  it('does not take a feeding pause for a pump that was left off', () => {
    const pump = (verdict: Finding['verdict']): Look =>
      judged('pump-stopped', { kind: 'device', id: 'filter' }, verdict, minutes(16));
    const pausing = postRoom();
    pausing.tend(0, TANK, 30);
    lookEach(pausing, 0, 29, pump('quiet'));
    lookEach(pausing, 30, 40, pump('raised'));
    lookEach(pausing, 41, 100, pump('quiet'));
    expect(pausing.told).toEqual([]);

    const off = postRoom();
    off.tend(0, TANK, 30);
    lookEach(off, 0, 50, pump('raised'));
    expect(off.told).toEqual(['46 opened filter > phone']);
  });

  it('says nothing when everything is back on', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    lookEach(room, 0, 50, heaterOff());
    lookEach(room, 51, 200, heaterOff('quiet'));
    expect(room.told).toEqual([]);
    expect(room.memory.tendings).toEqual({});
  });

  it('still reminds when it turns cold within half an hour, not later', () => {
    const soon = postRoom();
    soon.tend(0, TANK, 60);
    lookEach(soon, 60, 79, heaterOff('quiet'));
    lookEach(soon, 80, 85, heaterOff());
    expect(reminders(soon)).toHaveLength(1);
    const late = postRoom();
    late.tend(0, TANK, 60);
    lookEach(late, 60, 95, heaterOff('quiet'));
    lookEach(late, 96, 120, heaterOff());
    expect(reminders(late)).toEqual([]);
  });

  it('reminds a keeper only after quiet hours, in their summary', () => {
    const room = postRoom({ rules: rulesOf({ quiet_hours: QUIET }) });
    room.tend(0, TANK, 60);
    lookEach(room, 58, 62, plugSilent());
    expect(room.told).toEqual([]);
    expect(room.decisions.map(({ did }) => did)).toContain('held');
  });

  it('holds its tongue again when the tending is begun anew', () => {
    const room = postRoom();
    room.tend(0, TANK, 60);
    lookEach(room, 0, 61, plugSilent());
    room.tend(62, TANK, 120);
    lookEach(room, 63, 119, plugSilent());
    expect(room.told).toEqual(['60 opened discus+plug > phone']);
  });
});
