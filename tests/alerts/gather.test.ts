import { describe, expect, it } from 'vitest';
import { gather } from '../../src/alerts/gather.ts';
import { EMPTY_MEMORY, judge, type Look } from '../../src/alerts/index.ts';
import { later, MINUTE } from '../../src/units/index.ts';
import { finding, look, minutes, NIGHT } from './looks.ts';

const now = finding({ hold: minutes(0) });
const silentPlug = (id: string, room?: string): Look =>
  look({ watch: 'plug-silent', subject: { kind: 'plug', id }, finding: now, room });
const silentProbe = (id: string, room: string): Look =>
  look({ watch: 'probe-silent', subject: { kind: 'probe', id }, finding: now, room });
const heater = (id: string, tank: string, changes: Partial<Look> = {}): Look =>
  look({ subject: { kind: 'device', id }, tank, finding: now, ...changes });
const tooWarm = (id: string): Look =>
  look({ watch: 'tank-too-warm', subject: { kind: 'tank', id }, finding: now });

const toldOf = (looks: Look[]) =>
  gather(judge(EMPTY_MEMORY, looks, NIGHT).news).map(({ alert, also }) =>
    [alert, ...also].map(({ subject }) => subject.id),
  );

describe('one message for one event', () => {
  it('gathers what falls silent in one room within one look', () => {
    expect(
      toldOf([silentPlug('a', 'den'), silentProbe('b', 'den'), silentPlug('c', 'loft')]),
    ).toEqual([['a', 'b'], ['c']]);
  });

  it('gathers nothing whose room is not known', () => {
    expect(toldOf([silentPlug('a'), silentPlug('b')])).toEqual([['a'], ['b']]);
  });

  it('puts a stuck heater and its warm tank together, cause first', () => {
    expect(toldOf([tooWarm('discus'), heater('h1', 'discus'), heater('h2', 'shrimp')])).toEqual([
      ['h1', 'discus'],
      ['h2'],
    ]);
  });

  it('lets the more severe one lead', () => {
    const mild = heater('h1', 'discus', { finding: { ...now, severity: 'notice' } });
    expect(toldOf([mild, tooWarm('discus')])).toEqual([['discus', 'h1']]);
  });

  it('puts a dead heater and its cold tank together', () => {
    const dead = heater('h1', 'discus', { watch: 'heater-not-heating' });
    const cold = look({
      watch: 'tank-too-cold',
      subject: { kind: 'tank', id: 'discus' },
      finding: now,
    });
    expect(toldOf([dead, cold])).toEqual([['h1', 'discus']]);
  });

  it('does not mix warm and cold, or opening and closing', () => {
    const dead = heater('h2', 'discus', { watch: 'heater-not-heating' });
    expect(toldOf([heater('h1', 'discus'), dead])).toEqual([['h1'], ['h2']]);
    const first = judge(EMPTY_MEMORY, [silentPlug('a', 'den')], NIGHT).memory;
    const quiet = { ...silentPlug('a', 'den'), finding: { ...now, verdict: 'quiet' as const } };
    const second = judge(first, [quiet], later(NIGHT, MINUTE)).memory;
    const third = judge(second, [quiet, silentPlug('b', 'den')], later(NIGHT, 11 * MINUTE));
    expect(gather(third.news).map(({ change, also }) => [change, also.length])).toEqual([
      ['closed', 0],
      ['opened', 0],
    ]);
  });

  it('tells the tank alone when its heater was told before', () => {
    const { memory } = judge(EMPTY_MEMORY, [heater('h1', 'discus')], NIGHT);
    const { news } = judge(memory, [heater('h1', 'discus'), tooWarm('discus')], later(NIGHT, 1));
    expect(gather(news).map(({ alert, also }) => [alert.subject.id, also.length])).toEqual([
      ['discus', 0],
    ]);
  });

  it('leads with the same alert whatever the order of the looks', () => {
    const looks = ['c', 'a', 'b'].map((id) => silentPlug(id, 'den'));
    expect(toldOf(looks)).toEqual([['a', 'b', 'c']]);
    expect(toldOf(looks.reverse())).toEqual([['a', 'b', 'c']]);
  });
});
