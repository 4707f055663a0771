import { describe, expect, it } from 'vitest';
import {
  type AlertMemory,
  acknowledge,
  EMPTY_MEMORY,
  judge,
  liveAlerts,
  readMemory,
  retire,
  standing,
} from '../../src/alerts/index.ts';
import { HOUR, later, MINUTE } from '../../src/units/index.ts';
import { evidence, finding, look, marksOf, minutes, NIGHT, play } from './looks.ts';

const KEY = 'heater-stuck-on:device/discus-heater';
const ID = `${KEY}:2026-11-25T09:14:00.000Z`;

const open = (): AlertMemory => play(marksOf('11r')).memory;
const stateIn = (memory: AlertMemory) => memory.troubles[KEY]?.alert.state;

describe('one look a minute, a hold and a keep-open time of ten minutes', () => {
  it.each([
    ['stays silent while quiet', '30q', []],
    ['stays silent while unknown', '30?', []],
    ['waits for the hold', '10r', []],
    ['opens once the hold has passed', '11r', ['10 opened']],
    ['tells an open alert once', '60r', ['10 opened']],
    ['starts the hold anew after a quiet look', '10r q 10r', []],
    ['does not count unknown time toward the hold', '6r 10? 4r', []],
    ['opens when the seen part of the hold has passed', '6r 10? 5r', ['20 opened']],
    ['drops a suspicion that cannot be seen for an hour', '6r 61? 10r', []],
    ['begins it anew after that hour', '6r 61? 11r', ['77 opened']],
    ['treats missing looks as time that passed', '6r 9- r', ['15 opened']],
    ['drops a suspicion that was not looked at for over an hour', '6r 61- 10r', []],
    ['keeps an open alert open while unknown', '11r 300?', ['10 opened']],
    ['keeps an open alert open through short quiet', '11r 10q r 10q r', ['10 opened']],
    ['starts the keep-open time anew after a raised look', '11r 2q r 9q', ['10 opened']],
    ['closes after the keep-open time', '11r 11q', ['10 opened', '21 closed']],
    ['does not count unknown time toward closing', '11r 6q 20? 4q', ['10 opened']],
    ['closes when the seen quiet is long enough', '11r 6q 20? 5q', ['10 opened', '41 closed']],
    ['tells a worsening once', '11r 3c 3r 3c', ['10 opened', '11 worsened']],
    ['does not tell that it eased', '11c 20r', ['10 opened']],
    ['does not tell a worsening of what is told as critical', '5r 6c 5r 5c', ['10 opened']],
    [
      'tells again what returns after it closed',
      '11r 11q 11r',
      ['10 opened', '21 closed', '32 opened'],
    ],
    [
      'asks twice the quiet of what came back soon',
      '11r 11q 11r 20q 2q',
      ['10 opened', '21 closed', '32 opened', '53 closed'],
    ],
    [
      'asks it also when a suspicion between the two came to nothing',
      '11r 11q 3r q 11r 20q q',
      ['10 opened', '21 closed', '36 opened', '57 closed'],
    ],
    [
      'forgets the relapse after two quiet hours',
      '11r 11q 121q 11r 11q',
      ['10 opened', '21 closed', '153 opened', '164 closed'],
    ],
  ])('%s', (_, script, told) => {
    expect(play(marksOf(script)).told).toEqual(told);
  });

  it('opens at once where the watch asks for no hold', () => {
    const { told, rounds } = play(marksOf('r'), { hold: minutes(0) });
    expect(told).toEqual(['0 opened']);
    expect(rounds[0]?.steps.map((step) => step.why)).toEqual(['first-raised', 'hold-passed']);
  });

  it('needs two looks at a coarse cadence', () => {
    expect(play(marksOf('2r'), { every: minutes(15) }).told).toEqual(['15 opened']);
    expect(play(marksOf('r q r q'), { every: minutes(15) }).told).toEqual([]);
  });

  it('opens early when the critical finding asks for no hold', () => {
    const quick = look({ finding: finding({ severity: 'critical', hold: minutes(0) }) });
    const { memory } = play(marksOf('3r'));
    const { news } = judge(memory, [quick], later(NIGHT, 3 * MINUTE));
    expect(news.map(({ change, alert }) => [change, alert.severity])).toEqual([
      ['opened', 'critical'],
    ]);
  });
});

describe('what is remembered', () => {
  it('keeps since, id and the first opening through everything', () => {
    const { memory } = play(marksOf('11r 9q 5r 3c 5q r'));
    expect(memory.troubles[KEY]?.alert).toMatchObject({
      id: ID,
      since: NIGHT,
      opened: later(NIGHT, 10 * MINUTE),
      state: 'open',
      severity: 'critical',
    });
  });

  it('gives back the very same memory when nothing is worth storing', () => {
    const quiet = judge(EMPTY_MEMORY, [look({ finding: finding({ verdict: 'quiet' }) })], NIGHT);
    expect(quiet.memory).toBe(EMPTY_MEMORY);
    const memory = open();
    expect(judge(memory, [look()], later(NIGHT, 11 * MINUTE)).memory).toBe(memory);
  });

  it('does not touch the memory it was given', () => {
    const memory = open();
    const before = JSON.stringify(memory);
    judge(memory, [look({ finding: finding({ severity: 'critical' }) })], later(NIGHT, HOUR));
    expect(JSON.stringify(memory)).toBe(before);
  });

  it('lets the row of a lasting alert take over fresh evidence every five minutes', () => {
    const { rounds } = play(marksOf('26r'));
    const changedAt = rounds.flatMap(({ changed }, round) => (changed.length > 0 ? [round] : []));
    expect(changedAt).toEqual([10, 15, 20, 25]);
  });

  it('leaves no row of a suspicion that came to nothing, but says why it was dropped', () => {
    const { rounds } = play(marksOf('9r q'));
    expect(rounds.flatMap(({ changed }) => changed)).toEqual([]);
    expect(rounds.at(-1)?.steps).toEqual([
      { alert: ID, from: 'pending', to: 'quiet', why: 'quiet-before-hold' },
    ]);
  });

  it('says where a watch stands, and that it does not know after a restart', () => {
    const { watch, subject } = look();
    expect(standing(EMPTY_MEMORY, watch, subject, undefined)).toBe('unknown');
    expect(standing(EMPTY_MEMORY, watch, subject, 'unknown')).toBe('unknown');
    expect(standing(EMPTY_MEMORY, watch, subject, 'quiet')).toBe('quiet');
    expect(standing(play(marksOf('r')).memory, watch, subject, 'raised')).toBe('pending');
    expect(standing(open(), watch, subject, 'unknown')).toBe('open');
    expect(standing(play(marksOf('11r 11q')).memory, watch, subject, 'quiet')).toBe('quiet');
  });

  it('lists what is alive, and forgets a closed alert after two hours', () => {
    expect(liveAlerts(open()).map(({ id }) => id)).toEqual([ID]);
    const closed = play(marksOf('11r 11q')).memory;
    expect(liveAlerts(closed)).toEqual([]);
    expect(stateIn(closed)).toBe('closed');
    expect(play(marksOf('11r 11q 122q')).memory.troubles).toEqual({});
  });

  it('ends on the evidence of the quiet look', () => {
    const cool = finding({ verdict: 'quiet', evidence: [evidence('tank-temperature', 25.1, 'C')] });
    let memory = open();
    for (const at of [11, 21]) {
      memory = judge(memory, [look({ finding: cool })], later(NIGHT, at * MINUTE)).memory;
    }
    expect(memory.troubles[KEY]?.alert).toMatchObject({ state: 'closed', evidence: cool.evidence });
  });

  it.each([
    ['another version', { version: 2, troubles: {} }],
    ['no troubles', { version: 1 }],
    ['a trouble without an alert', { version: 1, troubles: { [KEY]: {} } }],
    ['a trouble under a wrong key', { version: 1, troubles: { x: open().troubles[KEY] } }],
    ['a trouble that is null', { version: 1, troubles: { [KEY]: null } }],
  ])('refuses stored memory with %s', (_, stored) => {
    expect(() => readMemory(stored)).toThrow(
      expect.objectContaining({ code: 'AMP_ALERTS_MEMORY', remedy: expect.any(String) }),
    );
  });

  it('starts empty where nothing is stored yet', () => {
    expect(readMemory(undefined)).toBe(EMPTY_MEMORY);
    expect(readMemory(null)).toBe(EMPTY_MEMORY);
  });
});

describe('a clock that is set', () => {
  it('still opens and closes after it was set back a year', () => {
    const year = 365 * 24 * HOUR;
    const { memory } = play(marksOf('5r'));
    const opened = play(marksOf('11r'), { memory, start: later(NIGHT, -year) });
    expect(opened.told).toEqual(['10 opened']);
    const closing = play(marksOf('5q'), { memory: open(), start: NIGHT }).memory;
    const closed = play(marksOf('11q'), { memory: closing, start: later(NIGHT, -year) });
    expect(closed.told).toEqual(['10 closed']);
  });

  it('does not open on a suspicion from before the clock was right', () => {
    const boot = play(marksOf('3r'), { start: later(NIGHT, -HOUR * 24 * 20_000) }).memory;
    expect(play(marksOf('10r'), { memory: boot }).told).toEqual([]);
    expect(play(marksOf('11r'), { memory: boot }).told).toEqual(['10 opened']);
  });
});

describe('acknowledging', () => {
  const at = later(NIGHT, 20 * MINUTE);

  it('marks the alert and tells nobody', () => {
    const { memory, changed, news, steps } = acknowledge(open(), ID, at);
    expect(changed).toEqual([expect.objectContaining({ state: 'acknowledged', acknowledged: at })]);
    expect(news).toEqual([]);
    expect(steps.map(({ why }) => why)).toEqual(['acknowledged-by-keeper']);
    expect(stateIn(memory)).toBe('acknowledged');
  });

  it('changes nothing the second time', () => {
    const { memory } = acknowledge(open(), ID, at);
    const again = acknowledge(memory, ID, later(at, MINUTE));
    expect(again.memory).toBe(memory);
    expect(again.changed).toEqual([]);
  });

  it('is taken back by a worsening, which is told', () => {
    const { memory } = acknowledge(open(), ID, at);
    const worse = look({ finding: finding({ severity: 'critical' }) });
    const { news } = judge(memory, [worse], later(at, MINUTE));
    expect(news[0]).toMatchObject({
      change: 'worsened',
      why: 'became-critical',
      alert: { state: 'open', acknowledged: undefined },
    });
  });

  it('does not keep an alert from closing', () => {
    const { memory } = acknowledge(open(), ID, at);
    const { told } = play(marksOf('11q'), { memory, start: later(at, MINUTE) });
    expect(told).toEqual(['10 closed']);
  });

  it.each([
    ['an id nobody knows', EMPTY_MEMORY, ID],
    ['a suspicion', play(marksOf('2r')).memory, ID],
    ['an alert that is over', play(marksOf('11r 11q')).memory, ID],
    ['an older alert of the same watch', open(), `${KEY}:2020-01-01T00:00:00.000Z`],
    ['nonsense', open(), '__proto__'],
  ])('refuses %s', (_, memory, id) => {
    expect(() => acknowledge(memory, id, at)).toThrow(
      expect.objectContaining({ code: 'AMP_ALERTS_NOT_OPEN' }),
    );
  });
});

describe('what is not watched any more', () => {
  const at = later(NIGHT, HOUR);

  it('is closed, told, and forgotten', () => {
    const { memory, changed, news } = retire(open(), () => false, at);
    expect(changed).toEqual([expect.objectContaining({ state: 'closed', closed: at })]);
    expect(news.map(({ change, why }) => [change, why])).toEqual([['closed', 'subject-gone']]);
    expect(memory.troubles).toEqual({});
  });

  it('is dropped without a word while only suspected', () => {
    const { memory, changed, news } = retire(play(marksOf('2r')).memory, () => false, at);
    expect({ troubles: memory.troubles, changed, news }).toEqual({
      troubles: {},
      changed: [],
      news: [],
    });
  });

  it('leaves alone what is watched', () => {
    const memory = open();
    expect(retire(memory, () => true, at).memory).toBe(memory);
  });
});

describe('a silent plug', () => {
  const heater = look({ plug: 'shelf-left' });
  const plug = (verdict: 'raised' | 'quiet' | 'unknown') =>
    look({
      watch: 'plug-silent',
      subject: { kind: 'plug', id: 'shelf-left' },
      finding: finding({ verdict, hold: minutes(0) }),
    });
  const tank = look({
    watch: 'tank-too-warm',
    subject: { kind: 'tank', id: 'discus' },
    plug: 'shelf-left',
  });

  const rounds = (looks: Parameters<typeof judge>[1], count: number, memory = EMPTY_MEMORY) => {
    const told: string[] = [];
    let current = memory;
    for (let round = 0; round < count; round++) {
      const judgment = judge(current, looks, later(NIGHT, round * MINUTE));
      current = judgment.memory;
      told.push(...judgment.news.map(({ alert, change }) => `${alert.watch} ${change}`));
    }
    return { told, memory: current };
  };

  it('keeps its device’s alerts from opening', () => {
    expect(rounds([heater, plug('raised')], 30).told).toEqual(['plug-silent opened']);
  });

  it('inhibits by memory while its own watch did not look', () => {
    const { memory } = rounds([plug('raised')], 1);
    expect(rounds([heater], 30, memory).told).toEqual([]);
  });

  it('never inhibits a tank', () => {
    expect(rounds([tank, plug('raised')], 30).told).toEqual([
      'plug-silent opened',
      'tank-too-warm opened',
    ]);
  });

  it('lets its device be judged as soon as it speaks again', () => {
    const { memory } = rounds([heater, plug('raised')], 5);
    expect(rounds([heater, plug('quiet')], 12, memory).told).toContain('heater-stuck-on opened');
  });

  it('lets it be judged within the very look in which it speaks again', () => {
    const { memory } = rounds([plug('raised')], 1);
    const quick = { ...heater, finding: finding({ hold: minutes(0) }) };
    expect(rounds([quick, plug('quiet')], 1, memory).told).toEqual(['heater-stuck-on opened']);
  });

  it('does not close what was open before', () => {
    const { memory } = rounds([heater, plug('quiet')], 11);
    const gone = look({ plug: 'shelf-left', finding: finding({ verdict: 'quiet' }) });
    expect(rounds([gone, plug('raised')], 60, memory).told).toEqual(['plug-silent opened']);
  });
});
