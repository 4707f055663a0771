import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { DevicePosting } from '../../src/books/index.ts';
import { emptyBatch, openStore } from '../../src/storage/index.ts';
import { Calendar, type LocalDate, SLOT, slotPieces } from '../../src/units/index.ts';
import { endChildren, IN_TIME, runCli, startChild } from './daemon.ts';
import { cabin } from './house.ts';
import { createSite, type Site, type Tree } from './site.ts';

const ESPI = 'tests/reference/espi/openespi_hourlyForMonthNov2011.xml';
/** The zone of the published sample. */
const zone = 'America/New_York';
const calendar = new Calendar(zone);

let site: Site;
beforeEach(() => {
  site = createSite(villa(0.2));
});
afterEach(async () => {
  await endChildren();
  site.remove();
});

/** The cabin, moved to where the published interval data comes from, at one price. */
const villa = (price: number, over: Tree = {}): Tree => ({
  ...cabin,
  site: { ...cabin.site, time_zone: zone, currency: 'USD', locale: 'en-US' },
  tariffs: { first: { valid_from: '2010-01-01', energy: { kind: 'flat', price_per_kwh: price } } },
  ...over,
});

/** Books of November 2011: the heater draws 50 Wh in each slot, all counted. */
function fillNovember(): void {
  const from = calendar.dayOf('2011-11-01' as LocalDate).from;
  const to = calendar.dayOf('2011-11-30' as LocalDate).to;
  const postings = [...slotPieces(from, to)].map(({ slot }) => ({
    slot,
    device: 'tide-heater',
    known: 'counted',
    energy: 50_000,
    spread: 0,
    covered: SLOT,
    drawing: SLOT,
  })) as unknown as DevicePosting[];
  const store = openStore({ file: site.store });
  store.commit({ ...emptyBatch, postings });
  store.close();
}

async function run(...args: string[]): Promise<{ code: number | null; out: string; err: string }> {
  const { code, stdout, stderr } = await runCli(...args).ends();
  return { code, out: stdout, err: stderr };
}

describe('ampulla import', () => {
  // Source: OpenESPI sample, tests/reference/espi/SOURCE.md: 721 hours, 2213.81 kWh, 239.26706 USD.
  it('reads the published interval data once, however often it is imported', async () => {
    fillNovember();
    const first = await run('import', site.file, 'house', ESPI);
    expect(first.err).toBe('');
    expect(first.out).toContain('721 new, 0 changed, 0 known already');
    expect(first.out).toContain('2,213.810 kWh, $239.27 by the utility');
    const again = await run('import', site.file, 'house', ESPI);
    expect(again.out).toContain('0 new, 0 changed, 721 known already');
    const kept = site.read((books) => books.house({ from: 0, to: 2e12 } as never));
    expect(kept).toHaveLength(721);
    expect(kept.reduce((sum, { energy }) => sum + energy, 0)).toBe(2_213_810_000);
    expect(site.read((books) => books.imports()).map(({ sha256 }) => sha256.length)).toEqual([
      64, 64,
    ]);
  });

  it('takes nothing of any file when one of them is wrong', async () => {
    fillNovember();
    const bad = join(site.folder, 'gas.xml');
    writeFileSync(bad, readFileSync(ESPI, 'utf8').replace('<uom>72</uom>', '<uom>169</uom>'));
    const { code, err } = await run('import', site.file, 'house', ESPI, bad);
    expect(err).toMatch(/AMP_ESPI_UNIT: .*gas\.xml: line \d+/);
    expect(code).not.toBe(0);
    expect(site.read((books) => books.house({ from: 0, to: 2e12 } as never))).toEqual([]);
    expect(site.read((books) => books.imports())).toEqual([]);
  });

  // Source: SMARD.de, CC BY 4.0, see tests/reference/tariff/SOURCE.md.
  it('reads published prices under headers of their own', async () => {
    fillNovember();
    const { err, out } = await run(
      ...['import', site.file, 'prices', 'day-ahead'],
      'tests/reference/tariff/smard_de_lu_day_ahead_2024_hourly.csv',
      ...['--columns', 'start=utc_start,price=eur_per_mwh,unit=per-mwh'],
    );
    expect(err).toBe('');
    expect(out).toContain('8,760 new');
    const span = { from: Date.UTC(2024, 2, 30, 23), to: Date.UTC(2024, 2, 31, 22) } as never;
    const day = site.read((books) => books.slotPrices('day-ahead', span));
    expect(day).toHaveLength(23);
    expect(day.reduce((sum, { price }) => sum + price, 0)).toBe(1_275_240);
  });
});

describe('ampulla bill', () => {
  it('holds a bill, the intervals and the fish room against each other', async () => {
    fillNovember();
    await run('import', site.file, 'house', ESPI);
    const { code, out } = await run(
      ...['bill', site.file, '--from', '2011-11-01', '--to', '2011-11-30'],
      ...['--kwh', '2250', '--total', '450.00'],
    );
    expect(code).toBe(0);
    expect(out).toContain('Bill 1 is on record.');
    // 721 hours of four slots at 50 Wh; the part is 144.2 of 2213.81 kWh.
    expect(out).toMatch(/Fish room +144\.200 kWh +\$28\.84/);
    expect(out).toMatch(/part of the fish room +6\.5%/);
    expect(out).toContain('bill-differs-from-intervals: The bill states 2,250.000 kWh, 36.190 kWh');
    const listed = await run('bill', site.file);
    expect(listed.out).toMatch(/1 +2011-11-01 +2011-11-30 +2,250\.000 kWh +\$450\.00/);
  });

  it('keeps a bill that is withdrawn, with the reason', async () => {
    fillNovember();
    await run('bill', site.file, '--from', '2011-11-01', '--to', '2011-11-30', '--kwh', '1');
    const { out } = await run('bill', site.file, '--withdraw', '1', '--reason', 'other house');
    expect(out).toContain('withdrawn: other house');
    const again = await run('bill', site.file, '--withdraw', '1', '--reason', 'twice');
    expect(again.err).toContain('AMP_STORE_WITHDRAWN');
  });
});

describe('ampulla correct', () => {
  const costOf = async (): Promise<string> => {
    const { out } = await run(
      ...['export', site.file, 'devices', '--from', '2011-11-10', '--to', '2011-11-10'],
      ...['--format', 'ndjson'],
    );
    const rows = out
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    const {
      energy_wh: energy,
      reckoned_wh: reckoned,
      cost,
    } = rows.find(({ device }) => device === 'tide-heater');
    return `${energy} Wh, ${reckoned} reckoned, ${cost}`;
  };

  it('voids and books a span beside the daemon, and withdraws it, without losing a trace', async () => {
    fillNovember();
    const daemon = startChild(site);
    await daemon.page();
    expect(await costOf()).toBe('4800 Wh, 0 reckoned, 0.96');
    const span = ['--from', '2011-11-10T06:00', '--to', '2011-11-10T18:00'];
    const device = ['--device', 'tide-heater'];
    await run('correct', site.file, ...device, ...span, '--void', '--reason', 'on the bench');
    expect(await costOf()).toBe('2400 Wh, 0 reckoned, 0.48');
    await run('correct', site.file, ...device, ...span, '--kwh', '1.5', '--reason', 'hand meter');
    expect(await costOf()).toBe('3900 Wh, 1500 reckoned, 0.78');
    await run('correct', site.file, '--withdraw', '1', '--reason', 'it was not');
    await run('correct', site.file, '--withdraw', '2', '--reason', 'nor that');
    expect(await costOf()).toBe('4800 Wh, 0 reckoned, 0.96');
    const { out } = await run('correct', site.file);
    expect(out).toContain('on the bench; withdrawn: it was not');
    expect(out).toContain('hand meter; withdrawn: nor that');
    expect(site.integrity()).toBe('ok');
  });

  it.each([
    [['--void'], 'AMP_CORRECT_REASON'],
    [['--kwh=-2', '--reason', 'less'], 'AMP_CORRECT_ENERGY'],
    [['--void', '--kwh', '1', '--reason', 'both'], 'AMP_APP_USAGE'],
    [['--reason', 'neither'], 'AMP_APP_USAGE'],
  ])('refuses %s with %s, and changes nothing', async (asked, code) => {
    fillNovember();
    const span = ['--device', 'tide-heater', '--from', '2011-11-10', '--to', '2011-11-10'];
    const { code: exit, err } = await run('correct', site.file, ...span, ...asked);
    expect(err).toContain(code);
    expect(exit).toBe(64);
    expect(site.read((books) => books.allCorrections())).toEqual([]);
  });
});

describe('ampulla reprice', () => {
  it('shows what a changed price makes of the past, and the daemon brings it into force', async () => {
    fillNovember();
    const daemon = startChild(site);
    await daemon.page();
    site.write(villa(0.25));
    const shown = await run('reprice', site.file);
    // 144.2 kWh at 0.20 and at 0.25.
    expect(shown.out).toMatch(/2011-11 +144\.200 kWh +\$28\.84 +\$36\.05 +\+\$7\.21/);
    expect(shown.out).toContain('Nothing has changed yet.');
    const refused = await run('reprice', site.file, '--apply');
    expect(refused.err).toContain('AMP_REPRICE_DAEMON');
    expect(site.read((books) => books.repricings())).toEqual([]);

    daemon.signal('SIGHUP');
    await daemon.says('past days are priced anew');
    const record = await vi.waitFor(() => {
      const [first] = site.read((books) => books.repricings());
      expect(first).toBeDefined();
      return first;
    }, IN_TIME);
    expect(record?.summary).toMatchObject({
      site: { before: { cost: 28_840_000 }, after: { cost: 36_050_000 } },
    });
    const after = await run('reprice', site.file);
    expect(after.out).toBe('No past day would cost anything else.\n');
  });

  it('brings it into force by itself where no daemon runs', async () => {
    fillNovember();
    const daemon = startChild(site);
    await daemon.page();
    daemon.signal('SIGTERM');
    await daemon.ends();
    site.write(villa(0.25));
    const { code, out } = await run('reprice', site.file, '--apply');
    expect(out).toContain('It is in force.');
    expect(code).toBe(0);
    expect((await run('reprice', site.file)).out).toBe('No past day would cost anything else.\n');
    expect(site.read((books) => books.repricings())).toHaveLength(1);
  });
});

describe('ampulla export', () => {
  it('writes a file once, whole, and never over another', async () => {
    fillNovember();
    const out = join(site.folder, 'days.csv');
    const written = await run('export', site.file, 'days', '--out', out);
    expect(written.err).toBe('');
    const lines = readFileSync(out, 'utf8').trimEnd().split('\r\n');
    expect(lines[0]).toMatch(/^\uFEFFday,start_utc,/);
    // 30 days of one device, rate and way of knowing.
    expect(lines).toHaveLength(31);
    const again = await run('export', site.file, 'days', '--out', out);
    expect(again.err).toContain('AMP_EXPORT_EXISTS');
    expect(again.code).not.toBe(0);
  });

  it.each([
    [['fishes'], 'AMP_APP_USAGE'],
    [['days', '--format', 'xls'], 'AMP_APP_USAGE'],
    [['days', '--from', 'Tuesday'], 'AMP_APP_TIME'],
  ])('refuses %s with %s', async (asked, code) => {
    fillNovember();
    const { code: exit, err } = await run('export', site.file, ...asked);
    expect(err).toContain(code);
    expect(exit).toBe(64);
  });
});

describe('ampulla oddities', () => {
  it('lists what was refused with its last raw value, and counts what meters noted', async () => {
    const store = openStore({ file: site.store });
    const at = calendar.dayOf('2011-11-10' as LocalDate).from;
    store.commit({
      ...emptyBatch,
      refusals: [
        {
          reason: 'not-a-number',
          feed: 'powers',
          source: { from: 'plug', id: 'plug-1' },
          topic: 'cabin/plug-1/power',
          found: '"lots"',
          count: 3,
          at,
        },
      ],
      notes: [{ event: 'drop-glitch', plug: 'plug-1', at, before: 812.4, found: 0 }],
    });
    store.close();
    const { out } = await run('oddities', site.file);
    expect(out).toMatch(
      /not-a-number +3 +powers +plug-1 +2011-11-10 00:00 +cabin\/plug-1\/power +"lots"/,
    );
    expect(out).toMatch(/plug-1 +drop-glitch +1 +2011-11-10 00:00/);
  });
});
