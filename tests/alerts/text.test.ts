import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  type Alert,
  type AlertText,
  alertText,
  createWriter,
  renderText,
  tellingText,
} from '../../src/alerts/index.ts';
import { HOUR, later } from '../../src/units/index.ts';
import type { Evidence, WatchName } from '../../src/watches/index.ts';
import { evidence, NIGHT } from './looks.ts';
import { closed, names, now, SAMPLES, WATCHES, write } from './samples.ts';

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
  'heater-overmatched': {
    name: 'Left heater',
    says: ['99%', '3 h', '24.1 °C', '12.2 °C', '37 W', '7 h 30 min'],
    todo: /keep the warmth in/i,
    cautions: [/portable room heater/i, /hot heater/i],
  },
  'heater-weak': {
    name: 'Left heater',
    says: ['119 W', '151 W', '21%', '3:14 a.m. CST'],
    todo: /write its watts into the configuration/i,
    cautions: [/unplug everything/i, /cooled before the water level drops/i],
  },
  'heater-drifting': {
    name: 'Left heater',
    says: ['0.6 °C lower', '24.8 °C', '25.5 °C'],
    todo: /second thermometer/i,
    cautions: [/unplug everything/i, /hot heater/i],
  },
  'heater-chattering': {
    name: 'Left heater',
    says: ['40 s', 'weld itself shut'],
    todo: /cut the power at the breaker/i,
    cautions: [/breaker/, /do not keep resetting/i],
  },
  'heater-unheard': {
    name: 'Left heater',
    says: ['1.2 °C', 'fell by 0.3 °C', '148 W'],
    todo: /without touching it[\s\S]*let it cool[\s\S]*cool and whole/i,
    cautions: [/never put a hot heater back/i, /breaker/, /unplug everything/i],
  },
  'heater-against-chiller': {
    name: 'Left heater',
    says: ['23%', '25.4 °C', '25.5 °C'],
    todo: /widen the gap/i,
    cautions: [/unplug everything/i, /drip loop/],
  },
  'duty-unexplained': {
    name: 'Discus basin',
    says: ['61%', '42%', '35% to 49%'],
    todo: /lid is off[\s\S]*leak/i,
    cautions: [/breaker/],
  },
  'probe-frozen': {
    name: 'Basin probe',
    says: ['25.3 °C', '1 h 40 min', '20 min', '0.8 °C'],
    todo: /second thermometer now/i,
    cautions: [/unplug everything/i, /drip loop/],
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
    says: ['25 min', 'Until it speaks again nobody would notice: Left heater stuck on.'],
    todo: /look at the equipment/i,
    cautions: [/breaker/, /do not keep resetting/i],
  },
  'probe-silent': {
    name: 'Basin probe',
    says: ['25 min', 'Nor: Discus basin too warm or too cold.'],
    todo: /second thermometer/i,
    cautions: [/unplug everything/i, /drip loop/],
  },
  'pump-stopped': {
    name: 'Big filter',
    says: ['0.4 W', '12 W', '25 min'],
    todo: /oxygen first.*[\s\S]*rinse it/i,
    cautions: [/unplug everything/i, /breaker/],
  },
  'pump-laboring': {
    name: 'Big filter',
    says: ['15 W', '12 W'],
    todo: /free the impeller before you power it/i,
    cautions: [/unplug everything/i, /breaker/],
  },
  'air-stopped': {
    name: 'Air pump',
    says: ['0.2 W', '4.1 W', '40 min'],
    todo: /diaphragm/,
    cautions: [/unplug everything/i, /drip loop/],
  },
  'light-off-plan': {
    name: 'Canopy lamp',
    says: ['42 W', '2 h 10 min'],
    todo: /check the timer/i,
    cautions: [/unplug everything/i],
  },
  'mat-overheating': {
    name: 'Back mat',
    says: ['21.3 °C', '29.0 °C', '24 W', '1 h 10 min'],
    todo: /plug at the wall.*surface/i,
    cautions: [/breaker/],
  },
  'expensive-night': {
    name: 'Discus basin',
    says: ['180%', '70%', 'as learned over 12 d', 'usually off by 11%'],
    todo: /close lids/i,
    cautions: [/portable room heater/i],
  },
  'cost-ahead': {
    name: 'The den',
    says: ['120%', '60%'],
    todo: /by tank and device/i,
    cautions: [/portable room heater/i],
  },
  'power-cut': {
    name: 'The den',
    says: ['75%', '6 min'],
    todo: /do not feed/i,
    cautions: [/breaker/, /do not keep resetting/i],
  },
  'room-cooling': {
    name: 'The den',
    says: ['14.2 °C', '2.3 °C'],
    todo: /close windows and doors/i,
    cautions: [/portable room heater/i, /breaker/],
  },
};

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

  it('has words for every kind of evidence that a watch gives', () => {
    const folder = new URL('../../src/watches/', import.meta.url);
    const sources = readdirSync(folder).map((file) => readFileSync(new URL(file, folder), 'utf8'));
    const given = /'([a-z]+(?:-[a-z]+)*)',[^\n]*?, '(C|K|W|fraction|ms|W\/K)'/g;
    const kinds = sources.flatMap((source) =>
      [...source.matchAll(given)].map(([, what = '', unit]) =>
        evidence(what, 1, unit as Evidence['unit']),
      ),
    );
    expect(kinds.length).toBeGreaterThan(10);
    const unworded = kinds.filter((kind) =>
      WATCHES.every((watch) => {
        const { evidence: lines } = alertText({ ...SAMPLES[watch], evidence: [kind] }, write, now);
        const bare = kind.what.replaceAll('-', ' ');
        return lines.some((line) => line.toLowerCase().startsWith(`${bare}:`));
      }),
    );
    expect(unworded.map(({ what }) => what)).toEqual([]);
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
    const { title, evidence: lines, todo } = tellingText(telling, write, now);
    expect(title).toBe('2 plugs or probes silent in The den');
    expect(lines).toEqual([
      'Shelf plug: No word for 25 min.',
      'Basin probe: No word for 25 min.',
      'Until they speak again nobody would notice: Left heater stuck on.',
      'Nor: Discus basin too warm or too cold.',
    ]);
    expect(todo.join('\n')).toMatch(/Look at the equipment[\s\S]*second thermometer/);
    const over = { ...telling, alert: closed(telling.alert), also: telling.also.map(closed) };
    const end = tellingText(over, write, now);
    expect(end.title).toBe('Over: 2 plugs or probes silent in The den');
    expect(end.what).toBe('2 plugs or probes are heard again: Shelf plug, Basin probe.');
  });

  it('stays readable when a whole hall falls silent', () => {
    const telling = {
      change: 'opened' as const,
      alert: SAMPLES['plug-silent'],
      also: Array<Alert>(4999).fill(SAMPLES['plug-silent']),
      why: 'hold-passed' as const,
      room: 'den',
    };
    const text = tellingText(telling, write, now);
    expect(text.title).toBe('5000 plugs or probes silent in The den');
    expect(text.evidence).toContain('and 4992 more');
    expect(renderText(text).length).toBeLessThan(2500);
  });
});
