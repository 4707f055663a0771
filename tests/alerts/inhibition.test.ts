import { describe, expect, it } from 'vitest';
import { inhibitedAlerts, type Look } from '../../src/alerts/index.ts';
import type { Finding, Subject, WatchName } from '../../src/watches/index.ts';
import { finding, look, minutes } from './looks.ts';
import { postRoom, rulesOf } from './post-room.ts';

type Verdict = Finding['verdict'];
const judged = (
  watch: string,
  subject: Subject,
  verdict: Verdict,
  changes: Partial<Look> = {},
): Look =>
  look({
    watch: watch as WatchName,
    subject,
    room: 'den',
    finding: finding({ verdict, hold: minutes(0) }),
    ...changes,
  });
const cut = (verdict: Verdict = 'raised', room = 'den') =>
  judged('power-cut', { kind: 'room', id: room }, verdict, { room });
const plug = (id: string, verdict: Verdict = 'raised', room = 'den') =>
  judged('plug-silent', { kind: 'plug', id }, verdict, { room });
const heater = (verdict: Verdict, on = 'a') =>
  judged('heater-not-heating', { kind: 'device', id: 'heater' }, verdict, {
    plug: on,
    tank: 'discus',
  });
const cold = judged('tank-too-cold', { kind: 'tank', id: 'discus' }, 'raised');

const lookEach = (
  room: ReturnType<typeof postRoom>,
  from: number,
  to: number,
  ...looks: Look[]
): void => {
  for (let minute = from; minute <= to; minute++) room.look(minute, ...looks);
};
const kept = (room: ReturnType<typeof postRoom>): string[] =>
  inhibitedAlerts(room.memory).map(({ alert, by }) => `${alert.subject.id} by ${by}`);

describe('a power cut', () => {
  it('explains the silent plugs of its room and keeps them in mind', () => {
    const room = postRoom();
    lookEach(room, 0, 180, cut(), plug('a'), plug('b'), plug('c', 'raised', 'loft'));
    expect(room.told).toEqual(['0 opened den > phone', '0 opened c > phone']);
    expect(kept(room)).toEqual(['a by power-cut:room/den', 'b by power-cut:room/den']);
  });

  it('never explains a cold tank', () => {
    const room = postRoom();
    room.look(0, cut(), cold);
    expect(room.told).toEqual(['0 opened den > phone', '0 opened discus > phone']);
  });

  it('lets those open that stay silent when it is over', () => {
    const room = postRoom();
    lookEach(room, 0, 9, cut(), plug('a'), plug('b'));
    lookEach(room, 10, 21, cut('quiet'), plug('a'), plug('b', 'quiet'));
    expect(room.told).toEqual([
      '0 opened den > phone',
      '10 opened a > phone',
      '20 closed den > phone',
    ]);
    expect(kept(room)).toEqual([]);
  });

  it('is one message with the plugs that were found silent just before it', () => {
    const room = postRoom({ rules: rulesOf({ gather_s: 120 }) });
    room.look(0, plug('a'));
    lookEach(room, 1, 5, cut(), plug('a'), plug('b'));
    expect(room.told).toEqual(['2 opened den+a > phone']);
  });
});

describe('a silent plug', () => {
  it('keeps a suspicion of its device in mind, which opens when it stays', () => {
    const room = postRoom();
    lookEach(room, 0, 5, plug('a'), heater('raised'));
    expect(kept(room)).toEqual(['heater by plug-silent:plug/a']);
    room.look(6, plug('a', 'quiet'), heater('raised'));
    expect(room.told).toEqual(['0 opened a > phone', '6 opened heater > phone']);
  });

  it('lets a suspicion go that was not confirmed when the plug spoke again', () => {
    const room = postRoom();
    lookEach(room, 0, 5, plug('a'), heater('raised'));
    lookEach(room, 6, 7, plug('a', 'quiet'), heater('quiet'));
    expect(room.told).toEqual(['0 opened a > phone']);
    expect(kept(room)).toEqual([]);
  });

  it('does not count its silence toward the hold of what it explains', () => {
    const slow = { ...heater('raised'), finding: finding({ hold: minutes(30) }) };
    const room = postRoom();
    lookEach(room, 0, 9, heater('quiet'), plug('a', 'quiet'));
    lookEach(room, 10, 19, slow, plug('a', 'quiet'));
    lookEach(room, 20, 59, slow, plug('a'));
    lookEach(room, 60, 90, slow, plug('a', 'quiet'));
    expect(room.told.at(-1)).toBe('80 opened heater > phone');
  });

  it('explains its devices also while a power cut explains the plug', () => {
    const room = postRoom();
    const lamp = judged('heater-stuck-on', { kind: 'device', id: 'heater' }, 'raised', {
      plug: 'a',
    });
    lookEach(room, 0, 9, cut(), plug('a'), lamp);
    expect(room.told).toEqual(['0 opened den > phone']);
    expect(kept(room)).toEqual(['heater by plug-silent:plug/a', 'a by power-cut:room/den']);
  });
});
