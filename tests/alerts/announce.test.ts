import { describe, expect, it } from 'vitest';
import { createWriter, deliveriesFor, type Recipient } from '../../src/alerts/index.ts';
import { finding, look, marksOf, minutes, play } from './looks.ts';
import { at, PHONE, postRoom, rulesOf, through } from './post-room.ts';
import { calm, ID, lookEach, SPARE, says, silent } from './rounds.ts';

describe('a critical alert', () => {
  it('is repeated every 15 minutes until acknowledged', () => {
    const room = postRoom();
    lookEach(room, 0, 40, 1, says('critical'));
    room.acknowledge(41, ID);
    lookEach(room, 42, 120, 1, says('critical'));
    expect(room.told).toEqual([
      '0 opened discus-heater > phone',
      '15 repeated discus-heater > phone',
      '30 repeated discus-heater > phone',
    ]);
  });

  it('is not repeated while it is quiet on its way to closing, and not once closed', () => {
    const room = postRoom();
    room.look(0, says('critical'));
    lookEach(room, 10, 60, 1, calm());
    expect(room.told).toEqual([
      '0 opened discus-heater > phone',
      '20 closed discus-heater > phone',
    ]);
  });

  it('is repeated together with others, and never more often than a message each span', () => {
    const room = postRoom();
    const heaters = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'];
    for (let minute = 0; minute < 120; minute++) {
      const began = heaters.filter((_, index) => minute >= index * 2);
      room.look(minute, ...began.map((id) => says('critical', id)));
    }
    const repeats = room.tellings.filter(({ telling }) => telling.change === 'repeated');
    expect(repeats.length).toBeLessThanOrEqual(120 / 15);
    expect(repeats.at(-1)?.telling.also).toHaveLength(7);
    repeats.reduce((last, { at: minute }) => {
      expect(minute - last).toBeGreaterThanOrEqual(15);
      return minute;
    }, -15);
  });

  it('repeats with an id of its own each time', () => {
    const room = postRoom();
    lookEach(room, 0, 31, 1, says('critical'));
    const write = createWriter({ names: { name: () => undefined }, locale: 'en', zone: 'UTC' });
    const ids = room.tellings.flatMap(({ at: minute, telling }) =>
      deliveriesFor([telling], [PHONE], write, at(minute)).map(({ id }) => id),
    );
    expect(ids).toEqual([
      `${ID}/opened/phone`,
      `${ID}/repeated-2026-11-25T09:29:00.000Z/phone`,
      `${ID}/repeated-2026-11-25T09:44:00.000Z/phone`,
    ]);
  });

  it('goes on being repeated after the clock was set back', () => {
    const room = postRoom();
    room.look(0, says('critical'));
    lookEach(room, -600, -570, 1, says('critical'));
    expect(room.told.slice(1)).toEqual([
      '-600 repeated discus-heater > phone',
      '-585 repeated discus-heater > phone',
      '-570 repeated discus-heater > phone',
    ]);
  });
});

describe('a snooze', () => {
  it('keeps silent until its time, and reminds then', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    room.snooze(5, ID, 60);
    lookEach(room, 6, 200, 1, says('warning'));
    expect(room.told).toEqual([
      '0 opened discus-heater > phone',
      '60 repeated discus-heater > phone',
    ]);
    expect(room.decisions.at(-1)?.why).toBe('snooze-over');
  });

  it('stops the repeats of a critical alert for its time only', () => {
    const room = postRoom();
    room.look(0, says('critical'));
    room.snooze(5, ID, 60);
    lookEach(room, 6, 80, 1, says('critical'));
    expect(room.told.slice(1)).toEqual([
      '60 repeated discus-heater > phone',
      '75 repeated discus-heater > phone',
    ]);
  });

  it('is broken by a rise to critical', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    room.snooze(5, ID, 600);
    room.look(6, says('critical'));
    expect(room.told.slice(1)).toEqual(['6 worsened discus-heater > phone']);
  });

  it('does not hold back the end', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    room.snooze(5, ID, 600);
    lookEach(room, 6, 20, 1, calm());
    expect(room.told.slice(1)).toEqual(['16 closed discus-heater > phone']);
  });

  it('takes an acknowledgment back, and is ended by one', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    room.acknowledge(1, ID);
    room.snooze(5, ID, 60);
    expect(room.memory.troubles[ID.slice(0, -25)]?.alert).toMatchObject({ state: 'open' });
    room.acknowledge(6, ID);
    lookEach(room, 7, 100, 1, says('warning'));
    expect(room.told).toEqual(['0 opened discus-heater > phone']);
  });

  it.each([
    ['an end that is past', 5],
    ['more than seven days', 7 * 24 * 60 + 6],
    ['no time at all', Number.NaN],
  ])('refuses %s', (_, until) => {
    const room = postRoom();
    room.look(0, says('warning'));
    expect(() => room.snooze(5, ID, until)).toThrow(
      expect.objectContaining({ code: 'AMP_ALERTS_SNOOZE' }),
    );
  });
});

describe('escalation', () => {
  const recipients = [PHONE, SPARE];

  it('tells a second channel after its time, and then also the end', () => {
    const room = postRoom({ recipients });
    lookEach(room, 0, 22, 1, says('critical'));
    lookEach(room, 23, 40, 1, calm());
    expect(room.told).toEqual([
      '0 opened discus-heater > phone',
      '15 repeated discus-heater > phone',
      '20 opened discus-heater > spare',
      '33 closed discus-heater > phone,spare',
    ]);
  });

  it('does not happen when it was acknowledged in time, and nothing is told of the end', () => {
    const room = postRoom({ recipients });
    room.look(0, says('critical'));
    room.acknowledge(19, ID);
    lookEach(room, 20, 60, 1, says('critical'));
    lookEach(room, 61, 80, 1, calm());
    expect(room.told.filter((line) => line.includes('spare'))).toEqual([]);
  });

  it('counts anew from when it became critical for whom only that matters', () => {
    const critical: Recipient = { ...SPARE, severities: ['critical'] };
    const room = postRoom({ recipients: [PHONE, critical] });
    lookEach(room, 0, 60, 1, says('warning'));
    lookEach(room, 61, 90, 1, says('critical'));
    expect(room.told.filter((line) => line.includes('spare'))).toEqual([
      '81 opened discus-heater > spare',
    ]);
  });

  it('waits its time for each alert, also when another of the same event is due', () => {
    const room = postRoom({ recipients: [SPARE] });
    lookEach(room, 0, 14, 1, silent('a'));
    lookEach(room, 15, 40, 1, silent('a'), silent('b'));
    expect(room.told).toEqual(['20 opened a > spare', '35 opened b > spare']);
  });

  it('leaves out what a channel does not take', () => {
    const room = postRoom({ recipients: [{ ...PHONE, severities: ['critical'] }] });
    lookEach(room, 0, 5, 1, says('warning', 'a'), says('critical', 'b'));
    expect(room.told).toEqual(['0 opened b > phone']);
  });
});

describe('gathering over several looks', () => {
  const rules = rulesOf({ gather_s: 120 });

  it('makes one message of what falls silent in a room within the window', () => {
    const room = postRoom({ rules });
    room.look(0, silent('a'));
    room.look(1, silent('a'), silent('b'));
    room.look(2, silent('a'), silent('b'), silent('c'));
    lookEach(room, 3, 9, 1, silent('a'), silent('b'), silent('c'));
    expect(room.told).toEqual(['2 opened a+b+c > phone']);
  });

  it('does not wait with what is critical, and takes along what belongs to it', () => {
    const room = postRoom({ rules });
    const warm = look({
      watch: 'tank-too-warm',
      subject: { kind: 'tank', id: 'discus' },
      tank: 'discus',
      finding: finding({ hold: minutes(0) }),
    });
    room.look(0, warm, says('warning', 'other'));
    room.look(1, warm, says('warning', 'other'), says('critical', 'h', 'discus'));
    room.look(2, warm, says('warning', 'other'), says('critical', 'h', 'discus'));
    expect(room.told).toEqual(['1 opened h+discus > phone', '2 opened other > phone']);
  });

  it('tells nothing of what the keeper has acknowledged before', () => {
    const room = postRoom({ rules });
    room.look(0, says('warning'));
    room.acknowledge(1, ID);
    lookEach(room, 2, 9, 1, says('warning'));
    lookEach(room, 10, 30, 1, calm());
    expect(room.told).toEqual([]);
    expect(room.memory.stories).toEqual({});
  });
});

describe('stories', () => {
  it('count what was open before they were kept as heard by all', () => {
    const memory = through(play(marksOf('11r')).memory);
    expect(memory.stories).toBeUndefined();
    const room = postRoom({ memory });
    lookEach(room, 11, 20, 1, look());
    lookEach(room, 21, 40, 1, calm());
    expect(room.told).toEqual(['31 closed discus-heater > phone']);
  });

  it('end when everyone who heard of it has heard the end', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    expect(Object.keys(room.memory.stories ?? {})).toEqual([ID]);
    lookEach(room, 1, 20, 1, calm());
    expect(room.memory.stories).toEqual({});
  });

  it('wait when nothing is known of the channels yet', () => {
    const held = postRoom({ rules: rulesOf({ gather_s: 600 }) });
    held.look(-20, says('critical'));
    held.look(-9, says('warning', 'a'));
    held.look(-1, calm());
    const early = postRoom({ memory: through(held.memory), recipients: [] });
    early.acknowledge(0, ID.replace('discus-heater', 'a').replace('09:14', '09:05'));
    expect(early.memory.stories).toEqual(held.memory.stories);
    const old = postRoom({ memory: through(play(marksOf('11r')).memory), recipients: [] });
    old.acknowledge(11, ID);
    expect(old.memory.stories).toBeUndefined();
  });

  it('end with what is not watched any more', () => {
    const room = postRoom();
    room.look(0, says('critical'));
    room.retire(5);
    lookEach(room, 6, 60, 1);
    expect(room.told).toEqual(['0 opened discus-heater > phone', '5 closed discus-heater > phone']);
    expect(room.memory.stories).toEqual({});
  });

  it('tell a new channel what is open now', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    const next = postRoom({ memory: room.memory, recipients: [PHONE, { ...PHONE, name: 'mail' }] });
    next.look(1, says('warning'));
    expect(next.told).toEqual(['1 opened discus-heater > mail']);
  });

  it('leave memory the very same when nothing is worth storing', () => {
    const room = postRoom();
    room.look(0, says('warning'));
    const before = room.memory;
    room.look(1, says('warning'));
    expect(room.memory).toBe(before);
  });
});
