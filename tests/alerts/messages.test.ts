import { describe, expect, it } from 'vitest';
import { gather } from '../../src/alerts/gather.ts';
import {
  type Alert,
  alertId,
  type ChannelFacts,
  deliveriesFor,
  EMPTY_MEMORY,
  judge,
  lookAtChannels,
  type Telling,
  tellingText,
} from '../../src/alerts/index.ts';
import { HOUR, later, MINUTE } from '../../src/units/index.ts';
import type { WatchName } from '../../src/watches/index.ts';
import { evidence, finding, look, minutes, NIGHT } from './looks.ts';
import { at, PHONE, postRoom } from './post-room.ts';
import { closed, now, SAMPLES, write } from './samples.ts';

const telling = (alert: Alert, changes: Partial<Telling> = {}): Telling => ({
  change: 'opened',
  alert,
  also: [],
  why: 'opened',
  room: undefined,
  ...changes,
});
const plugs = (count: number): Alert[] =>
  Array.from({ length: count }, (_, index) => {
    const subject = { kind: 'plug', id: `plug-${index + 1}` } as const;
    return { ...SAMPLES['plug-silent'], subject, id: alertId('plug-silent', subject, NIGHT) };
  });

describe('a repetition', () => {
  it('says that it still goes on, since when, and that nobody has acknowledged it', () => {
    const text = tellingText(
      telling(SAMPLES['heater-stuck-on'], { change: 'repeated' }),
      write,
      now,
    );
    expect(text.title).toBe('Still: Heater stuck on: Left heater (Discus basin)');
    expect(text.what).toMatch(/ It goes on, and nobody has acknowledged it\.$/);
    expect(text.since).toBe('Since Wed, Nov 25, 3:14 a.m. CST (12 min)');
    expect(text.todo.length).toBeGreaterThan(0);
    expect(text.cautions.length).toBeGreaterThan(0);
  });

  it('after a snooze says that its time is over', () => {
    const text = tellingText(
      telling(SAMPLES['tank-too-cold'], { change: 'repeated', why: 'snooze-over' }),
      write,
      now,
    );
    expect(text.what).toMatch(/ The snooze is over, and it goes on\.$/);
  });
});

describe('several repetitions in one message', () => {
  it('are listed, each with its time, and with what to do first for each', () => {
    const also = [SAMPLES['heater-not-heating'], SAMPLES['tank-too-cold']];
    const text = tellingText(
      telling(SAMPLES['heater-stuck-on'], { change: 'repeated', also }),
      write,
      now,
    );
    expect(text.title).toBe('Still: 3 alerts that nobody has acknowledged');
    expect(text.evidence).toHaveLength(3);
    expect(text.evidence[0]).toBe(
      'Heater stuck on: Left heater (Discus basin). Since Wed, Nov 25, 3:14 a.m. CST (12 min).',
    );
    expect(text.todo).toHaveLength(3);
    expect(text.cautions).toContain('Never put a hot heater back into water.');
  });
});

describe('the summary after quiet hours', () => {
  const open = { ...SAMPLES['room-cooling'], severity: 'warning' } as const;
  const over = closed(SAMPLES['tank-too-cold']);
  const seen = closed(SAMPLES['probe-silent']);
  const morning = later(NIGHT, 4 * HOUR);

  it('lists what stands with its time, tells what is over, and counts the rest', () => {
    const text = tellingText(
      telling(open, { change: 'summary', also: [over, seen], settled: [seen] }),
      write,
      morning,
    );
    expect(text).toMatchObject({
      title: 'Quiet hours are over: 3 alerts held back',
      what: '1 of it is still open.',
      since: 'Held back until Wed, Nov 25, 7:14 a.m. CST',
      over: false,
      severity: 'warning',
    });
    expect(text.evidence).toEqual([
      expect.stringMatching(/^Room .*The den\. Since Wed, Nov 25, 3:14 a\.m\. CST \(4 h\)\.$/),
      expect.stringMatching(
        /^Over: Tank too cold: Discus basin .* to Wed, Nov 25, 5:24 a\.m\. CST/,
      ),
      '1 alert came up and settled meanwhile, or you have seen them.',
    ]);
    expect(text.todo).toHaveLength(1);
  });

  it('asks for nothing when nothing is open any more', () => {
    const text = tellingText(telling(seen, { change: 'summary', settled: [seen] }), write, morning);
    expect(text).toMatchObject({
      title: 'Quiet hours are over: 1 alert held back',
      what: 'Nothing of it is open now.',
      over: true,
      todo: [],
      cautions: [],
    });
  });

  it('counts what would make it too long', () => {
    const [first, ...also] = plugs(20) as [Alert, ...Alert[]];
    const { evidence: lines } = tellingText(
      telling(first, { change: 'summary', also }),
      write,
      morning,
    );
    expect(lines).toHaveLength(9);
    expect(lines.at(-1)).toBe('And 12 more.');
  });
});

describe('a power cut with what it silences', () => {
  it('is told as a power cut and names the silent ones', () => {
    const subject = { kind: 'room', id: 'den' } as const;
    const watch = 'power-cut' as WatchName;
    const alert: Alert = {
      ...SAMPLES['room-cooling'],
      watch,
      subject,
      id: alertId(watch, subject, NIGHT),
      evidence: [],
    };
    const text = tellingText(telling(alert, { also: plugs(2), room: 'den' }), write, now);
    expect(text.title).not.toMatch(/plugs? .*silent/i);
    expect(text.evidence.at(-1)).toBe('Silent with it: plug-1, plug-2.');
  });
});

describe('the reminder after a tending', () => {
  it('asks whether everything is back on, and says what is not', () => {
    const room = postRoom();
    const off = look({
      watch: 'heater-not-heating',
      subject: { kind: 'device', id: 'discus-heater' },
      tank: 'discus',
      finding: finding({ hold: minutes(60), evidence: [evidence('power', 0, 'W')] }),
    });
    room.tend(0, 'discus', 60);
    room.look(60, off);
    const [{ telling: told } = { telling: undefined }] = room.tellings;
    const text = tellingText(told as Telling, write, at(60));
    expect(text.title).toBe('Tending over, something still off: Discus basin (The den)');
    expect(text.what).toBe(
      'Is everything back on? The tending of Discus basin is over, but a heater draws nothing although it is cold.',
    );
    expect(text.evidence).toEqual(['It draws 0.0 W.']);
    expect(text.cautions.join(' ')).toContain('Unplug everything');
  });
});

describe('a channel that fails', () => {
  const down = (channel: string): ChannelFacts => ({
    channel,
    state: 'failing',
    since: NIGHT,
    isDown: true,
  });
  const failing = lookAtChannels([down('phone')], at(12));

  it('is told on the others only, states included', () => {
    const mail = { name: 'mail', takes: 'messages' } as const;
    const mqtt = { name: 'mqtt', takes: 'states' } as const;
    const room = postRoom({ recipients: [PHONE, mail, mqtt] });
    room.look(12, ...failing);
    expect(room.told).toEqual(['12 opened phone > mqtt', '12 opened phone > mail']);
    const own = postRoom({ recipients: [mqtt] });
    own.look(12, ...lookAtChannels([down('mqtt')], at(12)));
    expect(own.told).toEqual([]);
  });

  it('is over once it delivers again', () => {
    const room = postRoom({ recipients: [PHONE, { ...PHONE, name: 'mail' }] });
    room.look(12, ...failing);
    for (let minute = 13; minute < 25; minute++) {
      room.look(
        minute,
        ...lookAtChannels([{ ...down('phone'), state: 'ok', isDown: false }], at(12)),
      );
    }
    expect(room.told).toEqual(['12 opened phone > mail', '23 closed phone > mail']);
  });

  it('stays open while it is not known whether it delivers again', () => {
    const room = postRoom({ recipients: [PHONE, { ...PHONE, name: 'mail' }] });
    room.look(12, ...failing);
    for (let minute = 13; minute < 60; minute++) {
      const state = minute % 2 === 0 ? 'untried' : 'failing';
      const facts = { ...down('phone'), state, isDown: false } as const;
      room.look(minute, ...lookAtChannels([facts], at(minute)));
    }
    expect(room.told).toEqual(['12 opened phone > mail']);
  });

  it('says so in plain words', () => {
    const [told] = gather(judge(EMPTY_MEMORY, failing, at(12)).news);
    const text = tellingText(told as Telling, write, at(12));
    expect(text.title).toBe('Alerts do not get through: phone');
    expect(text.what).toMatch(/^Nothing gets through on the channel phone\./);
    expect(text.evidence).toEqual(['It has failed for 12 min.']);
  });

  it('has an id that keeps states and messages apart', () => {
    const tell = gather(judge(EMPTY_MEMORY, failing, at(12)).news);
    const [delivery] = deliveriesFor(
      tell,
      [{ ...PHONE, name: 'mail' }],
      write,
      later(NIGHT, 12 * MINUTE),
    );
    expect(delivery?.id).toBe('channel-failed:channel/phone:2026-11-25T09:26:00.000Z/opened/mail');
    expect(JSON.parse(delivery?.body ?? '')).toMatchObject({
      watch: 'channel-failed',
      subject: { kind: 'channel', id: 'phone', name: 'phone' },
    });
  });
});
