import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Column, type ExportSite, raw, text } from '../../src/exports/column.ts';
import { csvLine, headerLine } from '../../src/exports/csv.ts';
import { decimalText } from '../../src/exports/decimal.ts';
import { jsonObject } from '../../src/exports/json.ts';
import { Calendar } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';

const SITE: ExportSite = {
  calendar: new Calendar('America/Winnipeg'),
  currency: 'CAD',
  tariffs: {
    tariffs: [],
    tariffAt: () => undefined,
    rateAt: () => undefined,
    rates: [],
    begins: undefined,
  },
  deviceName: () => undefined,
  tankName: () => undefined,
  publishedAt: () => undefined,
};

type Record = readonly (string | undefined)[];
const textColumns = (count: number): Column<Record>[] =>
  Array.from({ length: count }, (_, index) => text(`c${index}`, 'a text', (row) => row[index]));
const written = (row: Record, decimalComma = false): string =>
  csvLine(textColumns(row.length), SITE, { decimalComma })(row);

describe('a line of CSV is what RFC 4180 says, section 2', () => {
  test('1 and 4: fields with commas between them, none after the last, CRLF at the end', () => {
    expect(written(['aaa', 'bbb', 'ccc'])).toBe('aaa,bbb,ccc\r\n');
  });

  test('3: a header with as many fields as a record', () => {
    const columns = ['field_name', 'other_name'].map((key) => ({
      ...text(key, '', () => ''),
      key,
    }));
    expect(headerLine(columns, {})).toBe('field_name,other_name\r\n');
  });

  test('4: spaces are part of a field', () => {
    expect(written([' aaa ', 'bbb'])).toBe(' aaa ,bbb\r\n');
  });

  test('6: line breaks, quotes and commas are enclosed', () => {
    expect(written(['aaa', 'b\r\nbb', 'ccc'])).toBe('aaa,"b\r\nbb",ccc\r\n');
    expect(written(['a,b', 'c'])).toBe('"a,b",c\r\n');
  });

  test('7: a quote inside is doubled', () => {
    expect(written(['aaa', 'b"bb', 'ccc'])).toBe('aaa,"b""bb",ccc\r\n');
  });
});

describe('what a spreadsheet would run is not run', () => {
  test.each(['=1+1', '+41', '-2', '@cmd', '\tx', '\rx', '\nx', '＝1+1', '＋1', '－1', '＠x'])(
    'a text that begins like %j gets an apostrophe before it',
    (name) => {
      expect(parse(written([name, 'b']))).toEqual([[`'${name}`, 'b']]);
    },
  );

  test('a text that only holds such characters stays as it is', () => {
    expect(written(['Tom = 2 + @home'])).toBe('Tom = 2 + @home\r\n');
  });

  test('a number never does, negative ones neither', () => {
    const columns: Column<number>[] = [
      raw('found', 'W', '', (value) => value),
      {
        key: 'energy_wh',
        unit: 'Wh',
        meaning: '',
        kind: 'whole',
        decimals: 3,
        of: (value) => value,
      },
    ];
    expect(csvLine(columns, SITE, {})(-2)).toBe('-2,-0.002\r\n');
  });
});

describe('what is not known is an empty cell', () => {
  test('and null in JSON', () => {
    expect(written(['a', undefined, 'c'])).toBe('a,,c\r\n');
    expect(jsonObject(textColumns(2), SITE)(['a', undefined])).toBe('{"c0":"a","c1":null}');
  });

  test('so is a number that is none', () => {
    const column = [raw<number>('found', 'W', '', (value) => value)];
    expect(csvLine(column, SITE, {})(Number.NaN)).toBe('\r\n');
    expect(jsonObject(column, SITE)(Number.POSITIVE_INFINITY)).toBe('{"found":null}');
  });
});

describe('whatever a text holds', () => {
  const cell = fc.oneof(
    fc.string({ unit: 'grapheme' }),
    fc.string({ unit: fc.constantFrom('"', ',', ';', '\r', '\n', "'", 'a', ' ', '=', '\t', '.') }),
  );

  test.each([
    { dialect: 'comma', decimalComma: false, delimiter: ',' },
    { dialect: 'semicolon', decimalComma: true, delimiter: ';' },
  ])('it is read back the same, $dialect', ({ decimalComma, delimiter }) => {
    fc.assert(
      fc.property(fc.array(cell, { minLength: 2, maxLength: 5 }), (row) => {
        const [back] = parse(written(row, decimalComma), { delimiter, record_delimiter: '\r\n' });
        const plain = (back ?? []).map((found, index) =>
          found === `'${row[index]}` && /^[=+\-@\t\r\n＝＋－＠]/.test(row[index] ?? '')
            ? found.slice(1)
            : found,
        );
        expect(plain).toEqual(row);
      }),
      runs(),
    );
  });

  test('the same as JSON', () => {
    fc.assert(
      fc.property(fc.array(cell, { minLength: 1, maxLength: 5 }), (row) => {
        const back = JSON.parse(jsonObject(textColumns(row.length), SITE)(row)) as object;
        expect(Object.values(back)).toEqual(row);
      }),
      runs(),
    );
  });
});

describe('a whole number is written exactly', () => {
  test.each([
    [0, 3, '0.000'],
    [-0, 3, '0.000'],
    [5, 3, '0.005'],
    [-5, 3, '-0.005'],
    [12_345, 3, '12.345'],
    [-1_000_000, 6, '-1.000000'],
    [7, 0, '7'],
    [Number.MAX_SAFE_INTEGER, 3, '9007199254740.991'],
  ])('%d with %d decimals is %s', (whole, decimals, expected) => {
    expect(decimalText(whole, decimals)).toBe(expected);
  });

  test('and read back the same, in both dialects and JSON', () => {
    const column: Column<number>[] = [
      { key: 'cost', unit: '', meaning: '', kind: 'whole', decimals: 6, of: (value) => value },
    ];
    const whole = fc.integer({ min: -(2 ** 50), max: 2 ** 50 });
    const digits = (found: string): bigint => {
      const [units, decimals] = found.replace('-', '').split('.');
      const size = BigInt(units ?? '') * 1_000_000n + BigInt((decimals ?? '').padEnd(6, '0'));
      return found.startsWith('-') ? -size : size;
    };
    fc.assert(
      fc.property(whole, (value) => {
        const point = csvLine(column, SITE, {})(value).trimEnd();
        const comma = csvLine(column, SITE, { decimalComma: true })(value).trimEnd();
        const json = jsonObject(column, SITE)(value).slice('{"cost":'.length, -1);
        expect(digits(point)).toBe(BigInt(value));
        expect(comma).toBe(point.replace('.', ','));
        expect(digits(json)).toBe(BigInt(value));
        expect(Number(json)).toBe(value / 1e6);
      }),
      runs(),
    );
  });
});
