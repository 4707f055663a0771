import { describe, expect, it } from 'vitest';
import { DAY, HOUR, later, MINUTE } from '../../src/units/index.ts';
import { cardOf, html, textOf, textWith, titleOf } from './page.ts';
import { alert, crowdedRoom, measured, NIGHT, room, tank } from './views.ts';

describe('what is wrong', () => {
  it('stands first: the alert, what to do, what to take care of, then the rest', () => {
    const text = textWith({ alerts: [alert()] });
    const order = [
      '1 critical alert',
      'critical Heater stuck on: Reed heater (Reed pool)',
      'Since Wed, Jan 14, 12:19 a.m. CST (2 h 51 min)',
      'Reed heater keeps heating although it is warm enough.',
      'If this goes on, it passes the kept maximum of 27.0 °C in about 2 h 10 min (reckoned).',
      'What to do now',
      'Pull the heater’s plug at the wall.',
      'Take care',
      'Every circuit near water needs an RCD/GFCI.',
      'Within the kept range',
      'Cost of all devices',
    ].map((part) => text.indexOf(part));
    expect(order).not.toContain(-1);
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it('gives the reader time while there is something to read', () => {
    const page = html(room({ alerts: [alert()] }));
    expect(page).toContain('content="60; url=/"');
    expect(textOf(page)).toContain('renews every minute');
  });

  it('stands in the title of the tab', () => {
    expect(titleOf({ alerts: [alert(), alert({ severity: 'notice' })] })).toBe(
      '1 critical alert, 1 notice · $0.40 today · Heron loft',
    );
  });

  it('says its weight in a word, not by color alone', () => {
    const severities = ['critical', 'warning', 'notice'] as const;
    for (const severity of severities) {
      expect(textWith({ alerts: [alert({ severity })] })).toContain(`${severity} Heater stuck on`);
    }
    expect(textWith({ alerts: [alert({ state: 'acknowledged' })] })).toContain(
      'critical, acknowledged Heater stuck on',
    );
  });

  it('counts what is acknowledged or snoozed apart', () => {
    expect(textWith({ alerts: [alert({ state: 'acknowledged' })] })).toContain('1 acknowledged');
    const snoozed = alert({ snoozedUntil: later(NIGHT, HOUR) });
    const alerts = [alert({ severity: 'warning' }), snoozed, alert({ state: 'acknowledged' })];
    expect(titleOf({ alerts })).toMatch(/^1 warning, 1 acknowledged, 1 snoozed · /);
  });

  it('says when it was acknowledged, or until when it is snoozed', () => {
    const acknowledged = later(NIGHT, -DAY);
    expect(textWith({ alerts: [alert({ state: 'acknowledged', acknowledged })] })).toContain(
      '| Acknowledged Jan 13, 2026, 3:10 a.m. |',
    );
    const text = textWith({ alerts: [alert({ snoozedUntil: later(NIGHT, 2 * HOUR) })] });
    expect(text).toContain('critical, snoozed Heater stuck on');
    expect(text).toContain('| Snoozed until 5:10 a.m. |');
    const open = textWith({ alerts: [alert()] });
    expect(open).not.toMatch(/acknowledged|snoozed/i);
  });

  it('can be acknowledged where that has not been done, and snoozed in any case', () => {
    const [open, acknowledged] = [
      html(room({ alerts: [alert()] })),
      html(room({ alerts: [alert({ state: 'acknowledged' })] })),
    ];
    expect(open).toContain('name="do" value="acknowledge"');
    expect(acknowledged).not.toContain('name="do" value="acknowledge"');
    for (const page of [open, acknowledged]) {
      expect(page).toContain(`href="/alerts/${alert().id}">Snooze`);
    }
  });

  it('says on a tank’s card that it is tended, until when, and what that does not do', () => {
    const tending = {
      since: later(NIGHT, -10 * MINUTE),
      until: later(NIGHT, 50 * MINUTE),
      by: 'mqtt',
    };
    const page = html(room({ tanks: [tank({ tending }), tank({ id: 'b', name: 'Bay' })] }));
    expect(textOf(page)).toContain('Being tended: Reed pool');
    const card = cardOf(page, 'Reed pool');
    expect(card).toContain('being tended until 4:00 a.m.; begun 3:00 a.m. over MQTT');
    expect(card).toContain('Too much heat is told all the same. Unplug first');
    expect(card).toContain('End now: Reed pool');
    expect(cardOf(page, 'Bay')).not.toMatch(/being tended|End now/);
    expect(cardOf(page, 'Bay')).toContain('Begin tending: Bay');
  });

  it('names a tank that is out of its range, in words, and shows it first', () => {
    const page = html(
      room({
        tanks: [tank(), tank({ id: 'hot', name: 'Hot bay', temperature: measured(27.2) })],
      }),
    );
    expect(textOf(page)).toContain('Above the kept range: Hot bay');
    expect(cardOf(page, 'Hot bay')).toContain('above the kept 22.0 to 26.0 °C');
    expect(page.indexOf('<bdi>Hot bay</bdi></h3>')).toBeLessThan(
      page.indexOf('<bdi>Reed pool</bdi></h3>'),
    );
  });

  it('names four tanks and counts the others', () => {
    const tanks = ['A', 'B', 'C', 'D', 'E', 'F'].map((name) =>
      tank({ id: name, name, temperature: measured(19) }),
    );
    expect(textWith({ tanks })).toContain('Below the kept range: A, B, C, D and 2 more');
  });

  it('puts a crowd of notices behind a line each and a fold', () => {
    const page = html(crowdedRoom());
    expect(textOf(page)).toContain('3 critical alerts, 1 warning, 43 notices, 1 acknowledged');
    expect(textOf(page)).toContain('More: 40 notices');
    expect(page.match(/<article/g)).toHaveLength(2);
    expect(page.match(/<details class="line"/g)).toHaveLength(46);
    expect(page).not.toContain('<details open');
  });

  it('repeats no caution under the alerts that are told in full', () => {
    const page = html(room({ alerts: [alert(), alert({ title: 'Another' })] }));
    expect(textOf(page).split('Every circuit near water needs an RCD/GFCI.')).toHaveLength(2);
  });
});
