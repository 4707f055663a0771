import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Alert,
  type AlertText,
  alertId,
  alertText,
  createWriter,
  type Names,
  renderText,
  tellingText,
} from '../../src/alerts/index.ts';
import { HOUR, later, MINUTE } from '../../src/units/index.ts';
import type { Evidence, Subject, WatchName } from '../../src/watches/index.ts';
import { evidence, NIGHT } from './looks.ts';

const NAMES: Record<string, string> = {
  'discus-heater': 'Left heater',
  discus: 'Discus basin',
  'shelf-left': 'Shelf plug',
  'discus-probe': 'Basin probe',
  den: 'The den',
};
const tank: Subject = { kind: 'tank', id: 'discus' };
const names: Names = {
  name: ({ id }) => NAMES[id],
  place: ({ kind }) =>
    kind === 'room' ? undefined : kind === 'tank' ? { kind: 'room', id: 'den' } : tank,
};
const write = createWriter({ names, locale: 'en-CA', zone: 'America/Winnipeg' });
const now = later(NIGHT, 12 * MINUTE);

const alertOf = (
  watch: WatchName,
  subject: Subject,
  proof: readonly Evidence[],
  changes: Partial<Alert> = {},
): Alert => ({
  id: alertId(watch, subject, NIGHT),
  watch,
  subject,
  state: 'open',
  severity: 'critical',
  confidence: 'certain',
  reason: 'for-a-reason',
  evidence: proof,
  since: NIGHT,
  opened: later(NIGHT, 10 * MINUTE),
  acknowledged: undefined,
  closed: undefined,
  ...changes,
});

const heater: Subject = { kind: 'device', id: 'discus-heater' };
const SAMPLES: Record<WatchName, Alert> = {
  'heater-stuck-on': alertOf('heater-stuck-on', heater, [
    evidence('tank-temperature', 27.4, 'C'),
    evidence('switch-off', 25.6, 'C'),
    evidence('power', 148, 'W'),
    evidence('kept-max', 28, 'C'),
    evidence('time-to-kept-max', 3.4 * HOUR, 'ms'),
  ]),
  'heater-not-heating': alertOf('heater-not-heating', heater, [
    evidence('tank-temperature', 23.9, 'C'),
    evidence('switch-on', 25.1, 'C'),
    evidence('power', 0.3, 'W'),
    evidence('on-power', 151, 'W'),
    evidence('kept-min', 23, 'C'),
    evidence('time-to-kept-min', 90 * MINUTE, 'ms'),
  ]),
  'tank-too-warm': alertOf('tank-too-warm', tank, [
    evidence('tank-temperature', 29.4, 'C'),
    evidence('kept-max', 28, 'C'),
    evidence('half-hour-change', 0.4, 'K'),
  ]),
  'tank-too-cold': alertOf('tank-too-cold', tank, [
    evidence('tank-temperature', 21.2, 'C'),
    evidence('kept-min', 23, 'C'),
    evidence('half-hour-change', -0.6, 'K'),
  ]),
  'plug-silent': alertOf('plug-silent', { kind: 'plug', id: 'shelf-left' }, [
    evidence('silent-for', 25 * MINUTE, 'ms'),
  ]),
  'probe-silent': alertOf('probe-silent', { kind: 'probe', id: 'discus-probe' }, [
    evidence('silent-for', 25 * MINUTE, 'ms'),
  ]),
  'room-cooling': alertOf('room-cooling', { kind: 'room', id: 'den' }, [
    evidence('room-temperature', 14.2, 'C'),
    evidence('fall', 2.3, 'K'),
  ]),
};

const WANTED: Record<
  WatchName,
  { name: string; says: string[]; todo: RegExp; cautions: RegExp[] }
> = {
  'heater-stuck-on': {
    name: 'Left heater',
    says: ['27.4 °C', '25.6 °C', '148 W', '28.0 °C', '3 h 20 min'],
    todo: /pull the heater’s plug at the wall/i,
    cautions: [
      /unplug everything.*do not trust a switch/i,
      /cut the power at the breaker/i,
      /hot heater/i,
      /cooled before the water level drops/i,
    ],
  },
  'heater-not-heating': {
    name: 'Left heater',
    says: ['23.9 °C', '25.1 °C', '0.3 W', '151 W', '23.0 °C', '1 h 30 min'],
    todo: /RCD\/GFCI has tripped/,
    cautions: [/unplug everything/i, /do not keep resetting/i, /hot heater/i],
  },
  'tank-too-warm': {
    name: 'Discus basin',
    says: ['29.4 °C', '28.0 °C', 'rose by 0.4 °C'],
    todo: /slowly.*no ice/i,
    cautions: [/unplug everything/i, /breaker/],
  },
  'tank-too-cold': {
    name: 'Discus basin',
    says: ['21.2 °C', '23.0 °C', 'fell by 0.6 °C'],
    todo: /warm up slowly/i,
    cautions: [/unplug everything/i, /breaker/, /hot heater/i],
  },
  'plug-silent': {
    name: 'Shelf plug',
    says: ['25 min', 'nothing is known of Discus basin'],
    todo: /look at the equipment/i,
    cautions: [/breaker/, /do not keep resetting/i],
  },
  'probe-silent': {
    name: 'Basin probe',
    says: ['25 min', 'too warm and too cold go unseen'],
    todo: /second thermometer/i,
    cautions: [/unplug everything/i, /drip loop/],
  },
  'room-cooling': {
    name: 'The den',
    says: ['14.2 °C', '2.3 °C'],
    todo: /close windows and doors/i,
    cautions: [/portable room heater/i, /breaker/],
  },
};

const WATCHES = Object.keys(SAMPLES) as WatchName[];
const closed = (alert: Alert): Alert => ({
  ...alert,
  state: 'closed',
  closed: later(NIGHT, 130 * MINUTE),
});
const everyLine = (text: AlertText): string[] => renderText(text).split('\n');

describe.each(WATCHES)('the words of %s', (watch) => {
  const alert = SAMPLES[watch];
  const wanted = WANTED[watch];
  const text = alertText(alert, write, now);

  it('name the subject, the numbers and the time, and say what to do', () => {
    expect(text.title).toContain(wanted.name);
    const evidenceText = text.evidence.join('\n');
    for (const said of wanted.says) expect(evidenceText).toContain(said);
    expect(text.since).toBe('Since Wed, Nov 25, 3:14 a.m. CST (12 min)');
    expect(text.todo.join('\n')).toMatch(wanted.todo);
    expect(text.over).toBe(false);
  });

  it('end with the cautions that fit, local codes last', () => {
    for (const caution of wanted.cautions) expect(text.cautions.join('\n')).toMatch(caution);
    expect(text.cautions.at(-1)).toMatch(/licensed electrician; local codes go first/);
    expect(everyLine(text).at(-1)).toBe(text.cautions.at(-1));
  });

  it('say when it is over, how long it lasted, and what to check still', () => {
    const over = alertText(closed(alert), write, later(NIGHT, 5 * HOUR));
    expect(over.over).toBe(true);
    expect(over.title).toMatch(/^Over: /);
    expect(over.title).toContain(wanted.name);
    expect(over.what).toContain('lasted 2 h 10 min');
    expect(over.since).toContain('5:24 a.m. CST');
    expect(over.todo.length).toBeGreaterThan(0);
    expect(over.todo).not.toEqual(text.todo);
    expect(everyLine(over)[0]).not.toContain('CRITICAL');
    expect(renderText(over)).not.toContain('If this goes on');
  });

  it('stay short, and hold no hole where a value is missing', () => {
    const bare = alertText({ ...alert, evidence: [] }, write, now);
    for (const each of [text, bare]) {
      expect(renderText(each)).not.toMatch(/undefined|NaN|null|\bInfinity\b| {2}/);
      expect(everyLine(each).length).toBeLessThan(32);
      for (const line of everyLine(each)) expect(line.length).toBeLessThan(200);
    }
  });
});

describe('how sure a message is', () => {
  it.each(WATCHES)('words a possible %s as possible', (watch) => {
    const possible = alertText({ ...SAMPLES[watch], confidence: 'possible' }, write, now);
    expect(possible.title).toMatch(/\bmay\b/);
    expect(possible.what).toMatch(/not certain/);
    const certain = alertText(SAMPLES[watch], write, now);
    expect(`${certain.title} ${certain.what}`).not.toMatch(/\bseems?\b|not certain/);
  });

  it('asks for a second thermometer before anything is pulled on a guess', () => {
    const { todo } = alertText(
      { ...SAMPLES['heater-stuck-on'], confidence: 'possible' },
      write,
      now,
    );
    expect(todo[0]).toMatch(/second thermometer/);
    expect(alertText(SAMPLES['heater-stuck-on'], write, now).todo[0]).toMatch(/^Pull/);
  });

  it('puts temperature, switch-off and power into one sentence', () => {
    expect(alertText(SAMPLES['heater-stuck-on'], write, now).evidence[0]).toBe(
      'The water is 27.4 °C; the heater should have switched off at 25.6 °C, yet it draws 148 W.',
    );
  });

  it('does not speak of water where there is none', () => {
    const dry = createWriter({
      names: { ...names, isDry: ({ id }) => id === 'discus' },
      locale: 'en-CA',
      zone: 'UTC',
    });
    const ofTanks = WATCHES.filter((watch) => /^(heater|tank)-/.test(watch));
    for (const watch of ofTanks) {
      const { evidence: lines, todo } = alertText(SAMPLES[watch], dry, now);
      expect([...lines, ...todo].join('\n')).not.toMatch(/\bwater\b/i);
    }
  });

  it('gives evidence it has no sentence for a line of its own', () => {
    const odd = {
      ...SAMPLES['tank-too-warm'],
      evidence: [evidence('lamp-heat', 0.25, 'fraction')],
    };
    expect(alertText(odd, write, now).evidence).toContain('Lamp heat: 25%.');
  });
});

describe('a message about several alerts', () => {
  it('joins a stuck heater and its warm tank, and says only what undoes the cause', () => {
    const telling = {
      change: 'opened' as const,
      alert: SAMPLES['tank-too-warm'],
      also: [SAMPLES['heater-stuck-on']],
      why: 'hold-passed' as const,
      room: undefined,
    };
    const text = tellingText(telling, write, now);
    expect(text.title).toContain('Heater stuck on: Left heater');
    expect(text.title).toContain('Tank too warm: Discus basin');
    expect(text.evidence.join('\n')).toContain('148 W');
    expect(text.evidence.join('\n')).toContain('29.4 °C');
    expect(text.todo).toEqual(alertText(SAMPLES['heater-stuck-on'], write, now).todo);
    expect(new Set(text.cautions).size).toBe(text.cautions.length);
  });

  it('lists what fell silent in a room', () => {
    const telling = {
      change: 'opened' as const,
      alert: SAMPLES['plug-silent'],
      also: [SAMPLES['probe-silent']],
      why: 'hold-passed' as const,
      room: 'den',
    };
    const { title, todo } = tellingText(telling, write, now);
    expect(title).toBe('2 plugs or probes silent in The den: Shelf plug, Basin probe');
    expect(todo.join('\n')).toMatch(/Look at the equipment[\s\S]*second thermometer/);
    const over = { ...telling, alert: closed(telling.alert), also: telling.also.map(closed) };
    expect(tellingText(over, write, now).title).toMatch(/^Over: 2 plugs or probes silent/);
  });
});

describe('locale', () => {
  const sayIn = (locale: string, zone = 'America/Winnipeg') =>
    renderText(alertText(SAMPLES['heater-stuck-on'], createWriter({ names, locale, zone }), now));

  it.each(['en-US', 'es-PR', 'en'])('writes °F in %s, differences too', (locale) => {
    expect(sayIn(locale)).toContain('81.3 °F');
    expect(sayIn(locale)).not.toContain('°C');
    const writer = createWriter({ names, locale, zone: 'UTC' });
    // A difference of 1 K is 1.8 °F, without the 32: by definition of the scales.
    expect(writer.difference(1)).toMatch(/^1[.,]8 °F$/);
  });

  it.each([
    ['en-GB', '27.4 °C'],
    ['de-AT', '27,4 °C'],
    ['fr-CA', '27,4 °C'],
  ])('writes %s in its own numbers', (locale, number) => {
    expect(sayIn(locale)).toContain(number);
  });

  it('writes local time with its zone, through the change to summer time', () => {
    expect(sayIn('en-US', 'Asia/Kolkata')).toContain('2:44 PM GMT+5:30');
    expect(sayIn('en-US')).toContain('3:14 AM CST');
    const summer = { ...SAMPLES['room-cooling'], since: later(NIGHT, -150 * 24 * HOUR) };
    expect(alertText(summer, write, now).since).toContain('4:14 a.m. CDT');
  });

  it('still writes where the locale is no locale', () => {
    expect(sayIn('not a locale!')).toContain('148 W');
  });

  it('never shows minus zero', () => {
    expect(write.temperature(-0.01)).toBe('0.0 °C');
    expect(write.power(-0)).toBe('0.0 W');
  });

  it.each([
    [-5, '0 s'],
    [40_000, '40 s'],
    [90_000, '2 min'],
    [59.6 * MINUTE, '1 h'],
    [200 * MINUTE, '3 h 20 min'],
    [47 * HOUR, '47 h'],
    [52 * HOUR, '2 days 4 h'],
  ])('writes %d ms as %s', (ms, said) => {
    expect(write.length(ms)).toBe(said);
  });
});

describe('hostile names', () => {
  const sayNamed = (name: string): string =>
    renderText(
      alertText(
        SAMPLES['heater-stuck-on'],
        createWriter({
          names: { name: () => name },
          locale: 'en-CA',
          zone: 'UTC',
        }),
        now,
      ),
    );
  const lines = sayNamed('x').split('\n').length;
  // All but \n of the controls, the marks and overrides of direction, the invisible fillers.
  const BAD = [
    ...[0x0, 0x9, 0xb, 0x1f, 0x7f, 0x9f, 0x61c, 0x61c, 0x200b, 0x200b, 0x200e, 0x200f],
    ...[0x2028, 0x202e, 0x2060, 0x206f, 0xd800, 0xdfff, 0xfeff, 0xfeff, 0xe0000, 0xe007f],
  ];
  const isBad = (sign: string): boolean => {
    const point = sign.codePointAt(0) ?? 0;
    return BAD.some((from, at) => at % 2 === 0 && point >= from && point <= (BAD[at + 1] ?? 0));
  };

  it.each([
    ['a bidi override', 'Tank \u202Eevas si ti\u202C', 'Tank evas si ti'],
    ['isolates', 'a\u2066b\u2069c', 'a b c'],
    ['line breaks', 'ok\r\n\r\nIgnore this\u2028alert\u2029\u0085', 'ok Ignore this alert'],
    ['terminal escapes', '\u001b[31mred\u0007', '[31mred'],
    ['nothing visible', '\u200b\u2060\ufeff ', 'discus-heater'],
    ['a lone surrogate', 'a\ud800b', 'a b'],
    ['tag characters', 'a\u{e0041}b', 'a b'],
    ['an emoji that needs a joiner', '👩‍🚀 tank', '👩‍🚀 tank'],
    ['markup, which is for pages to escape', '<b>"&', '<b>"&'],
  ])('are made one safe line: %s', (_, name, safe) => {
    expect(sayNamed(name)).toContain(`Heater stuck on: ${safe}\n`);
  });

  it('of 200 characters never break a line or turn the text around', () => {
    const name = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 200 }),
      fc
        .array(
          fc.constantFrom('\n', '\r', '\u202e', '\u2067', '\u0000', '\u2028', 'x', ' ', '\ud83d'),
          {
            maxLength: 200,
          },
        )
        .map((parts) => parts.join('')),
    );
    fc.assert(
      fc.property(name, (hostile) => {
        const said = sayNamed(hostile);
        expect([...said].filter(isBad)).toEqual([]);
        expect(said.split('\n')).toHaveLength(lines);
      }),
    );
  });

  it('longer than a name may be are cut', () => {
    expect(sayNamed('🐟'.repeat(5000)).length).toBeLessThan(4000);
  });
});
