import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { alertText, createWriter, renderText } from '../../src/alerts/index.ts';
import { HOUR, later, MINUTE } from '../../src/units/index.ts';
import { NIGHT } from './looks.ts';
import { names, now, SAMPLES, write } from './samples.ts';

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
  let hostileName = '';
  const writer = createWriter({
    names: { name: () => hostileName },
    locale: 'en-CA',
    zone: 'UTC',
  });
  const sayNamed = (name: string): string => {
    hostileName = name;
    return renderText(alertText(SAMPLES['heater-stuck-on'], writer, now));
  };
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
      fc
        .array(fc.integer({ min: 0, max: 0x10ffff }), { maxLength: 200 })
        .map((points) => String.fromCodePoint(...points)),
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
        expect([...new Set(said)].filter(isBad)).toEqual([]);
        expect(said.split('\n')).toHaveLength(lines);
      }),
    );
  });

  it('longer than a name may be are cut', () => {
    expect(sayNamed('🐟'.repeat(5000)).length).toBeLessThan(4000);
  });
});
