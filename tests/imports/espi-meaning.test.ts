import { describe, expect, it } from 'vitest';
import { readEspi } from '../../src/imports/index.ts';
import {
  BERLIN,
  blockXml,
  entryXml,
  feedXml,
  type Reading,
  read,
  refusalOf,
  SITE,
  START,
  simpleFeed,
  typeXml,
} from './sample.ts';

const hour = (number: number, more: Reading = {}): Reading => ({
  start: START + number * 3600,
  ...more,
});

const only = async (text: string, options = {}) => {
  const { meters, warnings } = await read(text, options);
  expect(meters).toHaveLength(1);
  return { intervals: meters[0]?.intervals ?? [], warnings, id: meters[0]?.id };
};

describe('what a reading type says', () => {
  it('scales values by a power of ten, to whole milliwatt-hours', async () => {
    const energies = await Promise.all(
      [-3, 0, 3, 6].map(async (powerOfTenMultiplier) => {
        const { intervals } = await only(simpleFeed({ powerOfTenMultiplier }, { value: 17 }));
        return intervals[0]?.energy;
      }),
    );
    expect(energies).toEqual([17, 17_000, 17_000_000, 17_000_000_000]);
  });

  it('rounds once what is finer than a milliwatt-hour, and says so', async () => {
    const readings = [24, 25, 26, 1000].map((value, index) => hour(index, { value }));
    const { intervals, warnings } = await only(
      simpleFeed({ powerOfTenMultiplier: -4 }, ...readings),
    );
    expect(intervals.map(({ energy }) => energy)).toEqual([2, 3, 3, 100]);
    expect(warnings).toEqual(['3 readings were rounded to whole milliwatt-hours']);
  });

  it.each([
    // The codes are those of espiDerived.xsd: see reference/espi/SOURCE.md.
    { fields: { uom: 169 }, code: 'AMP_ESPI_UNIT', says: 'therm' },
    { fields: { uom: 38 }, code: 'AMP_ESPI_UNIT', says: '(W)' },
    { fields: { uom: 71 }, code: 'AMP_ESPI_UNIT', says: 'VAh' },
    { fields: { uom: 9999 }, code: 'AMP_ESPI_UNIT', says: 'uom 9999;' },
    { fields: { uom: undefined }, code: 'AMP_ESPI_UNIT', says: 'no uom' },
    { fields: { commodity: 7 }, code: 'AMP_ESPI_UNIT', says: 'commodity 7' },
    { fields: { flowDirection: 19 }, code: 'AMP_ESPI_FLOW', says: 'sent back' },
    { fields: { flowDirection: 4 }, code: 'AMP_ESPI_FLOW', says: 'net' },
    { fields: { flowDirection: 20 }, code: 'AMP_ESPI_FLOW', says: 'total' },
    { fields: { accumulationBehaviour: 3 }, code: 'AMP_ESPI_ACCUMULATION', says: 'cumulative' },
    { fields: { accumulationBehaviour: 1 }, code: 'AMP_ESPI_ACCUMULATION', says: 'bulk' },
    { fields: { accumulationBehaviour: 12 }, code: 'AMP_ESPI_ACCUMULATION', says: 'instant' },
    { fields: { powerOfTenMultiplier: 13 }, code: 'AMP_ESPI_VALUE', says: '13' },
    { fields: { powerOfTenMultiplier: 'kilo' }, code: 'AMP_ESPI_VALUE', says: "'kilo'" },
  ])('is refused with $fields', async ({ fields, code, says }) => {
    const refusal = await refusalOf(read(simpleFeed(fields, {})));
    expect(refusal.code).toBe(code);
    expect(refusal.message).toContain('ReadingType');
    expect(refusal.message).toContain(says);
    expect(refusal.problems[0]?.line).toBe(5);
    expect(refusal.remedy).toMatch(/\w/);
  });

  it('is taken with a warning when it does not say direction or kind', async () => {
    const fields = { flowDirection: undefined, accumulationBehaviour: undefined };
    const { intervals, warnings } = await only(simpleFeed(fields, {}));
    expect(intervals).toHaveLength(1);
    expect(warnings).toHaveLength(2);
    expect(warnings.every((warning) => warning.includes('assumed'))).toBe(true);
  });

  it('reads what the house sends back only when asked', async () => {
    const text = simpleFeed({ flowDirection: 19 }, { value: 5 });
    const { intervals } = await only(text, { direction: 'export' });
    expect(intervals[0]?.energy).toBe(5000);
    const forward = await refusalOf(read(simpleFeed({}, {}), { direction: 'export' }));
    expect(forward.code).toBe('AMP_ESPI_FLOW');
  });
});

describe('a reading', () => {
  it.each([
    { reading: { value: '' }, code: 'AMP_ESPI_VALUE', says: 'value is missing' },
    { reading: { value: 'n/a' }, code: 'AMP_ESPI_VALUE', says: "no whole number: 'n/a'" },
    { reading: { value: '1e3' }, code: 'AMP_ESPI_VALUE', says: 'no whole number' },
    { reading: { value: -5 }, code: 'AMP_ESPI_VALUE', says: 'below zero' },
    { reading: { value: '9'.repeat(14) }, code: 'AMP_ESPI_VALUE', says: 'more than' },
    { reading: { value: '1</value><value>2' }, code: 'AMP_ESPI_VALUE', says: 'twice' },
    { reading: { cost: '1,5' }, code: 'AMP_ESPI_VALUE', says: 'cost' },
    { reading: { duration: '' }, code: 'AMP_ESPI_TIME', says: 'duration is missing' },
    { reading: { duration: -900 }, code: 'AMP_ESPI_TIME', says: '-900' },
    { reading: { duration: 0 }, code: 'AMP_ESPI_TIME', says: ': 0' },
    { reading: { start: '' }, code: 'AMP_ESPI_TIME', says: 'start is missing' },
    { reading: { start: `${START}.5` }, code: 'AMP_ESPI_TIME', says: 'no whole number' },
    { reading: { start: START * 1000 }, code: 'AMP_ESPI_TIME', says: 'seconds since 1970' },
    { reading: { start: 0 }, code: 'AMP_ESPI_TIME', says: 'between 1990 and 2100' },
  ])('is refused with $reading, and the place is told', async ({ reading, code, says }) => {
    const blocks = [blockXml(hour(0), hour(1)), blockXml(hour(2), hour(3, reading), hour(4))];
    const text = feedXml(entryXml(typeXml()), ...blocks.map((block) => entryXml(block)));
    const refusal = await refusalOf(read(text));
    expect(refusal.code).toBe(code);
    expect(refusal.message).toContain('IntervalBlock 2, IntervalReading 2');
    expect(refusal.message).toContain(says);
    expect(refusal.remedy).toMatch(/\w/);
    const before = text.split('<IntervalReading>').slice(0, 4).join('').split('\n').length;
    const within = text.split('<IntervalReading>')[4]?.split('\n').length ?? 0;
    const line = refusal.problems[0]?.line ?? 0;
    expect(line).toBeGreaterThanOrEqual(before);
    expect(line).toBeLessThan(before + within);
  });

  it.each([
    { first: hour(0), second: hour(0), name: 'twice' },
    { first: hour(0), second: { ...hour(0), start: START + 1800 }, name: 'by half' },
    { first: hour(0, { duration: 86_400 }), second: hour(5), name: 'within a day' },
    { first: hour(5), second: hour(0, { duration: 86_400 }), name: 'around what came before' },
  ])('may not cover the same time as another: $name', async ({ first, second }) => {
    const text = feedXml(
      entryXml(typeXml()),
      entryXml(blockXml(first)),
      entryXml(blockXml(second)),
    );
    const refusal = await refusalOf(read(text));
    expect(refusal.code).toBe('AMP_ESPI_OVERLAP');
    expect(refusal.message).toMatch(/IntervalBlock [12], .*IntervalBlock [12],/);
  });

  it('of any length stays as it is', async () => {
    const lengths = [300, 900, 3600, 86_400];
    let start = START;
    const readings = lengths.map((duration) => {
      const reading = { start, duration };
      start += duration;
      return reading;
    });
    const { intervals } = await only(simpleFeed({}, ...readings));
    expect(intervals.map(({ from, to }) => (to - from) / 1000)).toEqual(lengths);
  });

  it('is put in order by time', async () => {
    const { intervals } = await only(simpleFeed({}, hour(2), hour(0), hour(1)));
    expect(intervals.map(({ from }) => from / 1000 - START)).toEqual([0, 3600, 7200]);
  });

  it('is estimated when one of its qualities is 8, valid with 0, else unknown', async () => {
    const qualities = [[0], [8], [0, 8], [14], [19, 0], []];
    const readings = qualities.map((quality, index) => hour(index, { quality }));
    const { intervals } = await only(simpleFeed({}, ...readings));
    expect(intervals.map(({ quality }) => quality)).toEqual([
      'valid',
      'estimated',
      'estimated',
      'unknown',
      'valid',
      'unknown',
    ]);
  });
});

describe('costs', () => {
  it('are hundred-thousandths of the currency, and unknown where they are not told', async () => {
    const { intervals } = await only(simpleFeed({}, hour(0, { cost: 974 }), hour(1)));
    expect(intervals.map(({ cost }) => cost)).toEqual([9740, undefined]);
    expect((await read(simpleFeed({}, hour(0)))).cost).toBeUndefined();
  });

  it('may be below zero', async () => {
    const { intervals } = await only(simpleFeed({}, hour(0, { cost: -3 })));
    expect(intervals[0]?.cost).toBe(-30);
  });

  it('in another currency than the site’s are refused', async () => {
    const refusal = await refusalOf(read(simpleFeed({ currency: 978 }, hour(0, { cost: 5 }))));
    expect(refusal.code).toBe('AMP_ESPI_CURRENCY');
    expect(refusal.message).toMatch(/EUR.*USD/);
    const unknown = await refusalOf(read(simpleFeed({ currency: 7 }, hour(0, { cost: 5 }))));
    expect(unknown.message).toContain('unknown number 7');
  });

  it('in another currency do not matter where there are none', async () => {
    const { intervals } = await only(simpleFeed({ currency: 978 }, hour(0)));
    expect(intervals).toHaveLength(1);
  });

  it('without a currency are left out, with a warning', async () => {
    const text = simpleFeed({ currency: undefined }, hour(0, { cost: 5 }));
    const { intervals, warnings } = await only(text);
    expect(intervals[0]?.cost).toBeUndefined();
    expect(warnings).toEqual([expect.stringContaining('currency')]);
  });
});

describe('several meters in one file', () => {
  const point = (id: string) => `/espi/1_1/resource/RetailCustomer/9/UsagePoint/${id}`;
  const meterEntries = (id: string, type: string, first: number, value: number, kind = 0) => [
    entryXml(
      `<UsagePoint xmlns="http://naesb.org/espi"><ServiceCategory><kind>${kind}</kind></ServiceCategory></UsagePoint>`,
      { self: point(id), related: [`${point(id)}/MeterReading`], title: `Meter ${id}` },
    ),
    entryXml('<MeterReading xmlns="http://naesb.org/espi"/>', {
      self: `${point(id)}/MeterReading/01`,
      up: `${point(id)}/MeterReading`,
      related: [
        `${point(id)}/MeterReading/01/IntervalBlock`,
        `/espi/1_1/resource/ReadingType/${type}`,
      ],
    }),
    entryXml(blockXml(hour(first, { value })), {
      self: `${point(id)}/MeterReading/01/IntervalBlock/1`,
      up: `${point(id)}/MeterReading/01/IntervalBlock`,
    }),
  ];
  const typeEntry = (id: string, fields = {}) =>
    entryXml(typeXml(fields), { self: `/espi/1_1/resource/ReadingType/${id}` });

  it('are kept apart, each with its own reading type', async () => {
    const text = feedXml(
      ...meterEntries('A1', 'wh', 0, 700),
      ...meterEntries('B 2', 'kwh', 0, 3),
      typeEntry('kwh', { powerOfTenMultiplier: 3 }),
      typeEntry('wh'),
    );
    const { meters, energy } = await read(text);
    expect(meters.map(({ id, name, intervals }) => [id, name, intervals[0]?.energy])).toEqual([
      ['a1', 'Meter A1', 700_000],
      ['b-2', 'Meter B 2', 3_000_000],
    ]);
    expect(energy).toBe(3_700_000);
    expect(meters[1]?.intervals[0]?.meter).toBe('b-2');
  });

  it('are found by links that name a server or ask for a page, too', async () => {
    const text = feedXml(
      ...meterEntries('a', 'wh', 0, 1),
      ...meterEntries('b', 'kwh', 0, 1),
      typeEntry('wh'),
      typeEntry('kwh', { powerOfTenMultiplier: 3 }),
    )
      .replaceAll('rel="up" href="/espi', 'rel="up" href="https://utility.example/espi')
      .replaceAll(/(rel="up" href="[^"]*)"/g, '$1/?page=1"');
    expect(text).toContain('https://utility.example/espi/1_1/resource/RetailCustomer/9');
    const { meters } = await read(text);
    expect(meters.map(({ intervals }) => intervals[0]?.energy)).toEqual([1000, 1_000_000]);
  });

  it('cannot share one name', async () => {
    const text = feedXml(
      ...meterEntries('a', 'x', 0, 1),
      ...meterEntries('b', 'x', 0, 1),
      typeEntry('x'),
    );
    const refusal = await refusalOf(read(text, { meter: 'house' }));
    expect(refusal.code).toBe('AMP_ESPI_METERS');
    expect(refusal.message).toContain('a, b');
    const same = feedXml(
      ...meterEntries('a', 'x', 0, 1),
      ...meterEntries('a', 'x', 5, 1).map((entry) =>
        entry.replaceAll('RetailCustomer/9', 'RetailCustomer/8'),
      ),
      typeEntry('x'),
    );
    expect((await refusalOf(read(same))).code).toBe('AMP_ESPI_METERS');
  });

  it('may be given another name when there is one', async () => {
    const text = feedXml(...meterEntries('a', 'x', 0, 1), typeEntry('x'));
    const { meters } = await read(text, { meter: 'cellar' });
    expect(meters.map(({ id, intervals }) => [id, intervals[0]?.meter])).toEqual([
      ['cellar', 'cellar'],
    ]);
  });

  it('cannot be told apart without links, and nothing is guessed', async () => {
    const text = feedXml(
      typeEntry('x'),
      typeEntry('y', { powerOfTenMultiplier: 3 }),
      entryXml(blockXml({})),
    );
    const refusal = await refusalOf(read(text));
    expect(refusal.code).toBe('AMP_ESPI_LINKS');
    expect(refusal.message).toContain('IntervalBlock 1');
    expect((await refusalOf(read(feedXml(entryXml(blockXml({})))))).code).toBe('AMP_ESPI_LINKS');
  });

  it('of gas or of energy sent back refuse the file, or are left out when that is wished', async () => {
    const text = feedXml(
      ...meterEntries('gas', 'therm', 0, 9, 1),
      ...meterEntries('roof', 'back', 0, 5),
      ...meterEntries('house', 'wh', 0, 700),
      typeEntry('therm', { uom: 169, commodity: 7 }),
      typeEntry('back', { flowDirection: 19 }),
      typeEntry('wh'),
    );
    expect((await refusalOf(read(text))).code).toBe('AMP_ESPI_UNIT');
    const { meters, energy, warnings } = await read(text, { others: 'leave-out' });
    expect(meters.map(({ id }) => id)).toEqual(['house']);
    expect(energy).toBe(700_000);
    expect(warnings).toHaveLength(2);
    expect(warnings.join()).toMatch(/gas.*therm.*roof.*sent back/);
    const nothing = feedXml(
      ...meterEntries('roof', 'back', 0, 5),
      typeEntry('back', { flowDirection: 19 }),
    );
    const refusal = await refusalOf(read(nothing, { others: 'leave-out' }));
    expect(refusal.code).toBe('AMP_ESPI_EMPTY');
    expect(refusal.message).toContain('sent back');
  });
});

describe('the shape of a file', () => {
  it('may be bare, without a feed around', async () => {
    const bare = `<u:usage xmlns:u="http://naesb.org/espi">${typeXml()}${blockXml({ value: 3 })}</u:usage>`;
    const { intervals, id } = await only(bare);
    expect(intervals[0]?.energy).toBe(3000);
    expect(id).toBe('house');
  });

  it('may be bare with its parts within each other', async () => {
    const nested = `<MeterReading xmlns="http://naesb.org/espi">${typeXml()}${blockXml({ value: 3 })}</MeterReading>`;
    expect((await only(nested)).intervals[0]?.energy).toBe(3000);
  });

  it('never loses a reading that stands outside of a block', async () => {
    const loose = feedXml(entryXml(typeXml()), entryXml(blockXml({}))).replace(
      '</feed>',
      '<IntervalReading xmlns="http://naesb.org/espi"><value>5</value></IntervalReading></feed>',
    );
    const refusal = await refusalOf(read(loose));
    expect(refusal.code).toBe('AMP_ESPI_LINKS');
    expect(refusal.message).toContain('in no IntervalBlock');
  });

  it('may have any prefix', async () => {
    const prefixed = simpleFeed({}, { value: 3, quality: [0] })
      .replaceAll(/<(\/?)(?=feed|entry|content)/g, '<$1a:')
      .replaceAll(
        /<(\/?)(?=[A-Z]|value|start|duration|time|uom|acc|comm|curr|flow|power|quality)/g,
        '<$1e:',
      )
      .replaceAll('xmlns="http://www.w3', 'xmlns:a="http://www.w3')
      .replaceAll('xmlns="http://naesb', 'xmlns:e="http://naesb');
    expect(prefixed).toContain('<e:value>3</e:value>');
    const { intervals } = await only(prefixed);
    expect(intervals).toMatchObject([{ energy: 3000, quality: 'valid' }]);
  });

  it('may hold elements of others, which are passed over', async () => {
    const text = simpleFeed({}, { value: 3 }).replaceAll(
      '<value>',
      '<x:note xmlns:x="urn:example:x"><x:value>99</x:value></x:note><value>',
    );
    expect((await only(text)).intervals[0]?.energy).toBe(3000);
  });

  it('may be CRLF, and its numbers may have white space around', async () => {
    const text = simpleFeed({}, { value: '\n  3  \n' }).replaceAll('\n', '\r\n');
    expect((await only(text)).intervals[0]?.energy).toBe(3000);
  });
});

describe('the clock of a file', () => {
  const clock = (fields: string) =>
    entryXml(`<LocalTimeParameters xmlns="http://naesb.org/espi">${fields}</LocalTimeParameters>`);
  const eastern =
    '<dstEndRule>B40E2000</dstEndRule><dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule><tzOffset>-18000</tzOffset>';
  const fixed = '<tzOffset>-18000</tzOffset>';
  const days = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map((day) => ({
    start: START + day * 86_400,
    duration: 86_400,
  }));
  const feed = (fields: string) =>
    feedXml(entryXml(typeXml()), clock(fields), entryXml(blockXml(...days)));

  it('is silent when it is the site’s', async () => {
    expect((await read(feed(eastern))).warnings).toEqual([]);
  });

  it('is told when it is another, with the first moment at which they differ', async () => {
    const inBerlin = await readEspi([feed(eastern)], { ...SITE, calendar: BERLIN });
    expect(inBerlin.warnings).toEqual([
      expect.stringMatching(/UTC-05:00.*Europe\/Berlin at UTC\+01:00/),
    ]);
    // 8 March 2026, 02:00 EST: the site's clock is set forward and the utility's is not.
    expect((await read(feed(fixed))).warnings).toEqual([
      expect.stringMatching(/UTC-05:00 from 2026-03-08 07:00 UTC, America\/New_York at UTC-04:00/),
    ]);
  });

  it('without a number is refused', async () => {
    expect((await refusalOf(read(feed('<tzOffset>EST</tzOffset>')))).code).toBe('AMP_ESPI_VALUE');
  });
});
