import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  type Alert,
  alertText,
  createWriter,
  EMPTY_MEMORY,
  judge,
  type News,
  renderJson,
  renderText,
} from '../../src/alerts/index.ts';
import { DAY, later, MINUTE } from '../../src/units/index.ts';
import { evidence, finding, look, NIGHT } from './looks.ts';

const names = {
  name: ({ id }: { id: string }) =>
    ({ 'discus-heater': 'Left heater', discus: 'Discus basin' })[id],
  place: () => ({ kind: 'tank', id: 'discus' }) as const,
};
const write = createWriter({ names, locale: 'en-CA', zone: 'America/Winnipeg' });

const raised = look({
  finding: finding({
    severity: 'warning',
    confidence: 'likely',
    reason: 'on-above-switch-off',
    evidence: [
      evidence('tank-temperature', 26.1, 'C', later(NIGHT, 10 * MINUTE)),
      evidence('switch-off', 25.6, 'C'),
      evidence('power', 148, 'W', later(NIGHT, 9 * MINUTE)),
      evidence('kept-max', 28, 'C'),
      { ...evidence('time-to-kept-max', 100 * MINUTE, 'ms'), low: 80 * MINUTE, high: 130 * MINUTE },
      evidence('learned-over', 12 * DAY, 'ms'),
    ],
  }),
});

function opened(): Alert {
  const { memory } = judge(EMPTY_MEMORY, [raised], NIGHT);
  const [news] = judge(memory, [raised], later(NIGHT, 10 * MINUTE)).news;
  return (news as News).alert;
}

const textOf = (alert: Alert) => alertText(alert, write, later(NIGHT, 10 * MINUTE));
const jsonOf = (alert: Alert, also: Alert[] = []) =>
  JSON.parse(renderJson(alert, textOf(alert), write, { change: 'opened', also }));

describe('the JSON of an alert', () => {
  it('is the documented example, word for word', () => {
    const page = readFileSync(new URL('../../docs/alerts.md', import.meta.url), 'utf8');
    const example = /```json\n([\s\S]*?)\n```/.exec(page)?.[1] ?? '';
    expect(JSON.parse(example)).toEqual(jsonOf(opened()));
  });

  it('names every field and unit in the documentation', () => {
    const page = readFileSync(new URL('../../docs/alerts.md', import.meta.url), 'utf8');
    const json = jsonOf({
      ...opened(),
      evidence: (['C', 'K', 'W', 'V', 'fraction', 'ms', 'W/K'] as const).map((unit) =>
        evidence('x', 1, unit),
      ),
    });
    const [first = evidence('x', 1, 'C')] = opened().evidence;
    const banded = {
      ...first,
      low: 26,
      high: 26.2,
      subject: { kind: 'tank', id: 'discus' },
    } as const;
    json.evidence.push(...jsonOf({ ...opened(), evidence: [banded] }).evidence);
    const keys = [
      ...Object.keys(json),
      ...Object.keys(json.text),
      ...Object.keys(json.subject),
      ...json.evidence.flatMap((one: object) => Object.keys(one)),
    ];
    for (const key of keys) expect(page).toMatch(new RegExp(`\\b${key}\\b`));
  });

  it('says of a number what it may as well be, and what it is a number of', () => {
    const tank = { kind: 'tank', id: 'discus' } as const;
    const left = {
      ...evidence('time-to-kept-min', 7_200_000, 'ms'),
      low: 3_600_000,
      subject: tank,
    };
    expect(jsonOf({ ...opened(), evidence: [left] }).evidence).toEqual([
      {
        what: 'time-to-kept-min',
        subject: { ...tank, name: 'Discus basin' },
        duration_s: 7200,
        duration_s_low: 3600,
        at: null,
      },
    ]);
  });

  it('gives lengths of time in seconds, and null where a number is none', () => {
    const odd = {
      ...opened(),
      evidence: [
        evidence('silent-for', 90_500, 'ms'),
        evidence('tank-temperature', Number.NaN, 'C'),
        evidence('room-temperature', Number.POSITIVE_INFINITY, 'C'),
      ],
    };
    expect(jsonOf(odd).evidence).toEqual([
      { what: 'silent-for', duration_s: 90.5, at: null },
      { what: 'tank-temperature', temp_c: null, at: null },
      { what: 'room-temperature', temp_c: null, at: null },
    ]);
  });

  it('carries the facts of the other alerts of the event', () => {
    const json = jsonOf(opened(), [{ ...opened(), id: 'another' }]);
    const { format, change, text, plain, also, ...facts } = json;
    expect(also).toEqual([{ ...facts, id: 'another' }]);
  });

  it('keeps hostile names one safe line there too', () => {
    const hostile = createWriter({
      names: { name: () => 'a\u202E"b\n\u0000c' },
      locale: 'en-CA',
      zone: 'UTC',
    });
    const alert = opened();
    const body = renderJson(alert, alertText(alert, hostile, NIGHT), hostile, { change: 'opened' });
    expect(JSON.parse(body).subject.name).toBe('a "b c');
    expect(body).not.toMatch(/\u202E/);
  });
});

describe('the plain text', () => {
  it('has its parts in order: what, since, evidence, to do, cautions', () => {
    const text = textOf(opened());
    const lines = renderText(text).split('\n');
    expect(lines.slice(0, 4)).toEqual([
      'WARNING: Heater seems stuck on: Left heater (Discus basin)',
      text.what,
      `${text.since}.`,
      '',
    ]);
    const at = (line: string) => lines.indexOf(line);
    expect(at('What is measured')).toBeLessThan(at('What to do now'));
    expect(at('What to do now')).toBeLessThan(at('Take care'));
    expect(lines[at('What to do now') + 1]).toBe(`1. ${text.todo[0]}`);
  });
});
