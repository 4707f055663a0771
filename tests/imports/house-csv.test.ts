import { describe, expect, it } from 'vitest';
import { type HouseCsvOptions, readHouseCsv } from '../../src/imports/index.ts';
import { BERLIN, refusalOf } from './sample.ts';

const read = (text: string, options: Partial<HouseCsvOptions> = {}) =>
  readHouseCsv([text], { calendar: BERLIN, ...options });

/** Intervals as 'from–to energy in kWh', in UTC, and what else is told. */
async function intervals(text: string, options: Partial<HouseCsvOptions> = {}): Promise<string[]> {
  const { meters } = await read(text, options);
  return (meters[0]?.intervals ?? []).map(({ from, to, energy, cost, quality }) => {
    const [a, b] = [from, to].map((at) => new Date(at).toISOString().slice(0, 16));
    const price = cost === undefined ? '' : ` for ${cost / 1e6}`;
    return `${a}–${b?.slice(11)} ${energy / 1e6}${price}${quality === 'unknown' ? '' : ` ${quality}`}`;
  });
}

const BOTH = ['2026-01-14T05:00–06:00 1.25', '2026-01-14T06:00–06:30 0.5'];

describe('a table of the house’s intervals', () => {
  it.each([
    {
      name: 'with offsets and ends',
      text: 'start,end,energy_kwh\n2026-01-14T06:00+01:00,2026-01-14T07:00+01:00,1.25\n2026-01-14T06:00Z,2026-01-14 03:00:00-03:30,0.5\n',
    },
    {
      name: 'in local time, with minutes',
      text: 'start,minutes,energy_kwh\n2026-01-14 06:00,60,1.25\n2026-01-14 07:00,30,0.5',
    },
    {
      name: 'with semicolons and decimal commas',
      text: 'start;minutes;energy_kwh\n2026-01-14 06:00;60;1,25\n2026-01-14 07:00;30;0,5\n',
    },
    {
      name: 'with semicolons and decimal points',
      text: 'start;minutes;energy_kwh\n2026-01-14 06:00;60;1.25\n2026-01-14 07:00;30;0.5\n',
    },
    {
      name: 'with tabs, quotes, CRLF and a byte order mark',
      text: '\uFEFF"start"\t"minutes"\t"energy_kwh"\r\n"2026-01-14 06:00"\t"60"\t"1,25"\r\n2026-01-14 07:00\t30\t0,5\r\n',
    },
    {
      name: 'with quoted cells that hold delimiters and line breaks',
      text: 'note,start,minutes,energy_kwh\n"say ""1,2""\nand 3",2026-01-14 06:00,60,1.25\n,2026-01-14 07:00,30,0.5\n',
    },
    {
      name: 'with the newest first, empty lines and comments',
      text: '# exported by the utility\n\nSTART, Minutes ,energy_kWh\n2026-01-14 07:00,30,0.5\n\n# a night\n2026-01-14 06:00,60,1.25\n',
    },
    {
      name: 'with cells to spare',
      text: 'start;minutes;energy_kwh;\n2026-01-14 06:00;60;1,25;\n2026-01-14 07:00;30;0,5;;\n',
    },
    {
      name: 'with old Macintosh line ends',
      text: 'start,minutes,energy_kwh\r2026-01-14 06:00,60,1.25\r2026-01-14 07:00,30,0.5\r',
    },
  ])('is read $name', async ({ text }) => {
    expect(await intervals(text)).toEqual(BOTH);
  });

  it('has costs and qualities where it says so', async () => {
    const text =
      'start,minutes,energy_kwh,cost,quality\n' +
      '2026-01-14 06:00,60,1.25,0.31,valid\n2026-01-14 07:00,60,1,,Estimated\n2026-01-14 08:00,60,0,-0.02,\n';
    expect(await intervals(text)).toEqual([
      '2026-01-14T05:00–06:00 1.25 for 0.31 valid',
      '2026-01-14T06:00–07:00 1 estimated',
      '2026-01-14T07:00–08:00 0 for -0.02',
    ]);
    const { cost, energy } = await read(text);
    expect([cost, energy]).toEqual([290_000, 2_250_000]);
  });

  it('may call its columns otherwise, and count in Wh', async () => {
    const text = 'Zähler;Von;Bis;Verbrauch (Wh)\nA;2026-01-14 06:00;2026-01-14 07:00;1250\n';
    const columns = { start: 'Von', end: 'Bis', energy: 'verbrauch (wh)', unit: 'Wh' } as const;
    const { meters, warnings } = await read(text, { columns, meter: 'cellar' });
    expect(meters).toMatchObject([
      { id: 'cellar', intervals: [{ meter: 'cellar', energy: 1_250_000 }] },
    ]);
    expect(warnings).toEqual(["columns that were not read: 'Zähler'"]);
  });

  it('of whole days needs no more than dates', async () => {
    const text = 'start,end,energy_kwh\n2026-03-28,2026-03-29,9\n2026-03-29,2026-03-30,8\n';
    const { meters } = await read(text);
    expect(meters[0]?.intervals.map(({ from, to }) => (to - from) / 3_600_000)).toEqual([24, 23]);
  });

  it('is rounded to what is kept, and says so', async () => {
    const { energy, warnings } = await read('start,minutes,energy_kwh\n2026-01-14,15,0.0000015\n');
    expect(energy).toBe(2);
    expect(warnings).toEqual([expect.stringMatching(/^1 numbers .* rounded$/)]);
  });

  it('may come in pieces, cut within a letter', async () => {
    const bytes = Buffer.from('start;minutes;energy_kwh;größe\n2026-01-14 06:00;60;1,25;ä\n');
    const pieces = [...bytes].map((byte) => Uint8Array.of(byte));
    const { warnings, energy } = await readHouseCsv(pieces, { calendar: BERLIN });
    expect(energy).toBe(1_250_000);
    expect(warnings).toEqual(["columns that were not read: 'größe'"]);
  });
});

describe('the hours around a change of the clock', () => {
  it('are told apart by their order, when an hour is shown twice', async () => {
    // Europe/Berlin, 2024-10-27, 03:00 CEST is 02:00 CET (tz database).
    const rows = ['01:00,1', '02:00,2', '02:00,3', '03:00,4'].map((row) => `2024-10-27 ${row}`);
    const text = ['start,energy_kwh,minutes', ...rows.map((row) => `${row},60`)].join('\n');
    const expected = [
      '2024-10-26T23:00–00:00 1',
      '2024-10-27T00:00–01:00 2',
      '2024-10-27T01:00–02:00 3',
      '2024-10-27T02:00–03:00 4',
    ];
    expect(await intervals(text)).toEqual(expected);
    const backwards = ['start,energy_kwh,minutes', ...rows.reverse().map((row) => `${row},60`)];
    expect(await intervals(backwards.join('\n'))).toEqual(expected);
  });

  it.each([
    { ends: ['02:15', '02:30', '02:45', '03:00'], name: 'by the clock before the change' },
    { ends: ['02:15', '02:30', '02:45', '02:00'], name: 'by the clock after the change' },
  ])('may end $name', async ({ ends }) => {
    const quarters = ['02:00', '02:15', '02:30', '02:45'];
    const first = quarters.map((start, index) => [start, ends[index]]);
    const second = quarters.map((start, index) => [
      start,
      ['02:15', '02:30', '02:45', '03:00'][index],
    ]);
    const rows = [...first, ...second].map(
      ([start, end], index) => `2024-10-27 ${start},2024-10-27 ${end},${index}`,
    );
    const { meters } = await read(['start,end,energy_kwh', ...rows].join('\n'));
    const found = meters[0]?.intervals ?? [];
    expect(found.map(({ energy }) => energy / 1e6)).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    expect(found.every(({ from, to }) => to - from === 900_000)).toBe(true);
    expect(new Date(found[0]?.from ?? 0).toISOString()).toBe('2024-10-27T00:00:00.000Z');
  });

  it('of which only one was shown twice and stands once are refused, not guessed', async () => {
    const rows = ['01:00', '02:00', '03:00'].map((start) => `2024-10-27 ${start},60,1`);
    const refusal = await refusalOf(read(['start,minutes,energy_kwh', ...rows].join('\n')));
    expect(refusal.code).toBe('AMP_CSV_TIME');
    expect(refusal.problems).toMatchObject([{ line: 3, place: 'column start' }]);
    expect(refusal.remedy).toContain('+01:00');
  });

  it('that the clock skips are refused, but may end a row', async () => {
    const text = (row: string) => `start,end,energy_kwh\n${row}\n`;
    const refusal = await refusalOf(read(text('2024-03-31 02:30,2024-03-31 03:00,1')));
    expect(refusal.message).toMatch(/line 2, column start.*skips/);
    const day = '2024-03-31';
    expect(await intervals(text(`${day} 01:00,${day} 02:00,1`))).toEqual([
      '2024-03-31T00:00–01:00 1',
    ]);
    expect(await intervals(text(`${day} 01:00,${day} 03:00,1`))).toEqual([
      '2024-03-31T00:00–01:00 1',
    ]);
    const end = await refusalOf(read(text(`${day} 01:00,${day} 02:30,1`)));
    expect(end.message).toMatch(/line 2, column end.*skips/);
  });
});

const HEAD = 'start,minutes,energy_kwh';

describe('a table that is wrong', () => {
  it.each([
    { text: '', code: 'AMP_CSV_EMPTY' },
    { text: `${HEAD}\n`, code: 'AMP_CSV_EMPTY' },
    { text: '# only a comment\n', code: 'AMP_CSV_EMPTY' },
    { text: 'start,energy_kwh\n2026-01-14,1\n', code: 'AMP_CSV_HEADER', line: 1 },
    { text: 'start,end,minutes,energy_kwh\n2026-01-14,,1,1\n', code: 'AMP_CSV_HEADER', line: 1 },
    { text: 'start,minutes,energy\n2026-01-14,1,1\n', code: 'AMP_CSV_HEADER', line: 1 },
    { text: 'start,start,minutes,energy_kwh\n1,2,3,4\n', code: 'AMP_CSV_HEADER', line: 1 },
    { text: '<html><body>Please log in</body></html>\nx', code: 'AMP_CSV_HEADER', line: 1 },
    { text: `${HEAD}\n2026-01-14,60\n`, code: 'AMP_CSV_CELLS', line: 2 },
    { text: `${HEAD}\n2026-01-14,60,1,5\n`, code: 'AMP_CSV_CELLS', line: 2 },
    { text: `${HEAD}\n2026-01-14,60,1"5\n`, code: 'AMP_CSV_QUOTES', line: 2 },
    { text: `${HEAD}\n2026-01-14,60,"1\n`, code: 'AMP_CSV_QUOTES', line: 2 },
    { text: `${HEAD}\n2026-01-14,60,"${'x'.repeat(20_000)}"\n`, code: 'AMP_CSV_QUOTES' },
    { text: `${HEAD}\n2026-01-14,60,"1,5"\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'energy_kwh' },
    { text: `${HEAD}\n2026-01-14,60,1.5 kWh\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'energy_kwh' },
    { text: `${HEAD}\n2026-01-14,60,\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'energy_kwh' },
    { text: `${HEAD}\n2026-01-14,60,-1\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'energy_kwh' },
    { text: `${HEAD}\n2026-01-14,60,1e12\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'energy_kwh' },
    { text: `${HEAD}\n2026-01-14,0,1\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'minutes' },
    { text: `${HEAD}\n2026-01-14,7.5,1\n`, code: 'AMP_CSV_NUMBER', line: 2, at: 'minutes' },
    { text: `${HEAD}\n14.01.2026 06:00,60,1\n`, code: 'AMP_CSV_TIME', line: 2, at: 'start' },
    { text: `${HEAD}\n2026-02-30 06:00,60,1\n`, code: 'AMP_CSV_TIME', line: 2, at: 'start' },
    { text: `${HEAD}\n2026-01-14 25:00,60,1\n`, code: 'AMP_CSV_TIME', line: 2, at: 'start' },
    { text: `${HEAD}\n2026-01-14 06:00:00.5,60,1\n`, code: 'AMP_CSV_TIME', line: 2, at: 'start' },
    { text: `${HEAD}\n,60,1\n`, code: 'AMP_CSV_TIME', line: 2, at: 'start' },
    {
      text: 'start,end,energy_kwh\n2026-01-14 06:00,2026-01-14 06:00,1\n',
      code: 'AMP_CSV_TIME',
      line: 2,
      at: 'end',
    },
    {
      text: `${HEAD},quality\n2026-01-14,60,1,guessed\n`,
      code: 'AMP_CSV_WORD',
      line: 2,
      at: 'quality',
    },
    { text: `${HEAD}\n2026-01-14,60,1\n\n2026-01-14,60,1\n`, code: 'AMP_CSV_OVERLAP', line: 4 },
    { text: `${HEAD}\n2026-01-14 00:30,60,1\n2026-01-14,60,1\n`, code: 'AMP_CSV_OVERLAP', line: 2 },
    { text: 'start;minutes;energy_kwh\n2026-01-14;60;1.234,5\n', code: 'AMP_CSV_NUMBER', line: 2 },
    {
      text: 'start;minutes;energy_kwh\n2026-01-14;60;0,5\n2026-01-15;60;1.234\n',
      code: 'AMP_CSV_NUMBER',
      line: 3,
    },
  ])('is refused with $code: $text', async ({ text, code, line, at }) => {
    const refusal = await refusalOf(read(text));
    expect(refusal.code).toBe(code);
    expect(refusal.problems[0]?.remedy).toMatch(/\w/);
    if (line !== undefined) expect(refusal.problems[0]?.line).toBe(line);
    if (at !== undefined) expect(refusal.problems[0]?.place).toBe(`column ${at}`);
  });

  it('tells all its mistakes at once, by line', async () => {
    const text = `${HEAD}\nx,60,1\n2026-01-14,60,1\n2026-01-15,y,z\n2026-01-16,60,"1\n`;
    const refusal = await refusalOf(read(text));
    expect(refusal.problems.map(({ line, place }) => [line, place])).toEqual([
      [2, 'column start'],
      [4, 'column minutes'],
      [4, 'column energy_kwh'],
      [5, undefined],
    ]);
    expect(refusal.message.split('\n')).toHaveLength(5);
  });

  it('tells twenty mistakes and no more', async () => {
    const text = [HEAD, ...Array.from({ length: 500 }, () => 'x,60,1')].join('\n');
    expect((await refusalOf(read(text))).problems).toHaveLength(20);
  });

  it('that is too large or too long is not read to its end', async () => {
    const row = '2026-01-14,60,1\n';
    const large = await refusalOf(read(HEAD + row.repeat(100), { largestFile: 500 }));
    expect(large.code).toBe('AMP_CSV_SIZE');
    const long = await refusalOf(read(`${HEAD}\n${row.repeat(100)}`, { mostRows: 99 }));
    expect(long).toMatchObject({ code: 'AMP_CSV_ROWS', problems: [{ line: 101 }] });
  });

  it('that is no UTF-8 is refused', async () => {
    const bytes = Buffer.from(`${HEAD},größe\n`, 'latin1');
    const refusal = await refusalOf(readHouseCsv([bytes], { calendar: BERLIN }));
    expect(refusal.code).toBe('AMP_CSV_TEXT');
    const cut = Buffer.from(`${HEAD}\n2026-01-14,60,1\n# ä`).subarray(0, -1);
    const broken = await refusalOf(readHouseCsv([cut], { calendar: BERLIN }));
    expect(broken.code).toBe('AMP_CSV_TEXT');
  });

  it('shows nothing of itself that a terminal would obey', async () => {
    const cell = await refusalOf(read(`${HEAD}\n\u001b[2Jx,60,1\n`));
    const columns = {
      start: 'start',
      minutes: 'minutes',
      energy: '\u001b[2J',
      unit: 'Wh',
    } as const;
    const header = await refusalOf(read('start,minutes,\u001b[2J\n2026-01-14,60,x\n', { columns }));
    for (const { message } of [cell, header]) {
      expect(message).toContain('\uFFFD[2J');
      expect(message).not.toContain('\u001b');
    }
  });
});
