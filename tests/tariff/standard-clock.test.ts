import { expect, test } from 'vitest';
import { standardClock } from '../../src/tariff/standard-clock.ts';
import { Calendar, instant, wallTimeText } from '../../src/units/index.ts';

/** What the standard clock of a zone shows. Zone rules: the IANA data of the runtime. */
function shown(zone: string, iso: string): string {
  const { date, minute } = standardClock(new Calendar(zone))(instant(Date.parse(iso)));
  return `${date} ${wallTimeText(minute)}`;
}

test.each([
  ['America/New_York', '2012-07-01T16:00Z', '2012-07-01 11:00', 'summer, an hour behind'],
  ['America/New_York', '2012-01-01T16:00Z', '2012-01-01 11:00', 'winter, as it is'],
  ['Australia/Sydney', '2026-01-01T00:00Z', '2026-01-01 10:00', 'a summer over the new year'],
  ['Australia/Lord_Howe', '2026-01-01T00:00Z', '2026-01-01 10:30', 'half an hour of it'],
  ['Europe/Dublin', '2026-07-01T12:00Z', '2026-07-01 12:00', 'where law calls winter unusual'],
  ['Asia/Kathmandu', '2026-07-01T12:00Z', '2026-07-01 17:45', 'no daylight saving at all'],
  ['Asia/Pyongyang', '2017-01-01T12:00Z', '2017-01-01 20:30', 'a change for good, before it'],
  ['Asia/Pyongyang', '2019-01-01T12:00Z', '2019-01-01 21:00', 'a change for good, after it'],
  ['Europe/Istanbul', '2017-07-01T12:00Z', '2017-07-01 15:00', 'summer time that was kept'],
  ['America/New_York', '2026-03-08T04:45Z', '2026-03-07 23:45', 'a day that ends an hour later'],
])('the standard clock of %s shows at %s %s: %s', (zone, at, expected) => {
  expect(shown(zone, at)).toBe(expected);
});
