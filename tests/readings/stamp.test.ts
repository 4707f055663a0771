import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { compileStamp } from '../../src/readings/stamp.ts';
import { instant } from '../../src/units/index.ts';

const since2010 = fc.integer({ min: Date.UTC(2010, 0, 2), max: Date.UTC(2038, 0, 1) });
const zones = fc.constantFrom(
  'America/Winnipeg',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  'America/St_Johns',
  'Pacific/Chatham',
  'UTC',
);

describe('a payload time', () => {
  it('with an offset is the instant that luxon reads', () => {
    const read = compileStamp({ at: '/t', format: 'iso' });
    fc.assert(
      fc.property(since2010, zones, (at, zone) => {
        const text = DateTime.fromMillis(at, { zone }).toISO() ?? '';
        expect(read(text, instant(at))).toBe(at);
      }),
    );
  });

  it('is read the same after others of its minute as by a reader that has read none', () => {
    const texts = fc.array(
      fc
        .record({
          minute: fc.constantFrom('06:15', '06:16'),
          seconds: fc.constantFrom('00', '07', '30', '59', '60', '61', '3x'),
          fraction: fc.constantFrom('', '', '', '.5', '.123456'),
          offset: fc.constantFrom(
            'Z',
            '+05:45',
            '-06:00',
            '+0545',
            ' Z',
            '',
            '+25:00',
            'Z ',
            'Z+05:45',
          ),
        })
        .map((it) => `2026-01-17T${it.minute}:${it.seconds}${it.fraction}${it.offset}`),
      { minLength: 2 },
    );
    const arrived = instant(Date.UTC(2026, 0, 19));
    const reader = () => compileStamp({ at: '/t', format: 'iso', zone: 'UTC' });
    fc.assert(
      fc.property(texts, (stream) => {
        const read = reader();
        for (const text of stream) expect(read(text, arrived)).toBe(reader()(text, arrived));
      }),
      { numRuns: 1_000 },
    );
  });

  it('on the wall clock of a zone is found again when it arrives at once', () => {
    fc.assert(
      fc.property(since2010, zones, (at, zone) => {
        const read = compileStamp({ at: '/t', format: 'iso', zone });
        const local = DateTime.fromMillis(at, { zone }).toISO({ includeOffset: false }) ?? '';
        expect(read(local, instant(at))).toBe(at);
      }),
      { numRuns: 200 },
    );
  });

  it('is found again on either side of a clock that is set back, half an hour at Lord Howe', () => {
    const zone = 'Australia/Lord_Howe';
    const read = compileStamp({ at: '/t', format: 'iso', zone });
    for (const at of [Date.UTC(2026, 3, 4, 14, 45), Date.UTC(2026, 3, 4, 15, 15)]) {
      const local = DateTime.fromMillis(at, { zone }).toFormat("yyyy-MM-dd'T'HH:mm:ss");
      expect(local).toBe('2026-04-05T01:45:00');
      expect(read(local, instant(at + 1000))).toBe(at);
    }
  });

  it('without offset or zone is UTC', () => {
    const read = compileStamp({ at: '/t', format: 'iso' });
    const at = Date.UTC(2026, 0, 14, 11, 59, 59, 999);
    expect(read('2026-01-14T11:59:59,9999', instant(at))).toBe(at);
  });

  it('counts a leap second as the second after it', () => {
    const read = compileStamp({ at: '/t', format: 'iso' });
    const at = Date.UTC(2017, 0, 1);
    expect(read('2016-12-31T23:59:60Z', instant(at))).toBe(at);
  });

  it.each([
    '2026-13-01T00:00:00Z',
    '2026-01-00T00:00:00Z',
    '2026-01-32T00:00:00Z',
    '2026-00-10T00:00:00Z',
    '2025-02-29T00:00:00Z',
    '2026-01-14T24:00:00Z',
    '2026-01-14T12:60:00Z',
    '2026-01-14T12:00:00+25:00',
    '2026-01-14T12:00:00+01:75',
    '2026-01-14',
    '14.01.2026 12:00',
    '1768391970',
    'now',
    '',
    1768391970,
    null,
    undefined,
    true,
    {},
  ])('%j is bad as ISO', (raw) => {
    const arrived = instant(Date.UTC(2026, 0, 14, 12));
    expect(compileStamp({ at: '/t', format: 'iso' })(raw, arrived)).toBe('bad-time');
  });

  it.each(['2026-01-14T12:00:00Z', '0x5', '', null, true, Infinity, {}])(
    '%j is bad as an epoch',
    (raw) => {
      const arrived = instant(Date.UTC(2026, 0, 14, 12));
      expect(compileStamp({ at: '/t', format: 'epoch-s' })(raw, arrived)).toBe('bad-time');
    },
  );
});
