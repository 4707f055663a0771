import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { DevicePosting } from '../../src/books/index.ts';
import type { ClimateSlot } from '../../src/readings/index.ts';
import { createChance } from '../../src/simulator/index.ts';
import { emptyBatch, openStore } from '../../src/storage/index.ts';
import { Calendar, HOUR, type LocalDate, SLOT, slotPieces } from '../../src/units/index.ts';
import { endChildren, runCli } from './daemon.ts';
import { cabin } from './house.ts';
import { createSite, type Site } from './site.ts';

const calendar = new Calendar(cabin.site.time_zone);
const FIRST = '2025-10-20' as LocalDate;
const CHANGED = '2025-12-20' as LocalDate;
const LAST = '2026-02-10' as LocalDate;

let site: Site;
beforeEach(() => {
  site = createSite({ ...cabin, probes: { ...cabin.probes, 'loft-air': { room: 'loft' } } });
});
afterEach(async () => {
  await endChildren();
  site.remove();
});

/**
 * A heater that makes up for 6 W/K against a loft that gets colder toward January; from the day of
 * the change on, a lid leaves 0.8 of it. The plug and the day's doings scatter by a few percent.
 */
function fill(times: number): void {
  const chance = createChance(7);
  const postings: DevicePosting[] = [];
  const climate: ClimateSlot[] = [];
  const changed = calendar.dayOf(CHANGED).from;
  let weather = 0;
  let doings = 1;
  for (const { slot } of slotPieces(calendar.dayOf(FIRST).from, calendar.dayOf(LAST).to)) {
    if (calendar.day(slot).from === slot) {
      weather = 0.7 * weather + chance.normal();
      doings = 1 + 0.03 * chance.normal();
    }
    const season = -2.5 * Math.sin(((slot - changed) / (120 * 24 * HOUR)) * Math.PI);
    const loft = 17.5 + season + weather + Math.sin((slot / (24 * HOUR)) * 2 * Math.PI);
    const watts = 6 * (25 - loft) * doings * (slot < changed ? 1 : times);
    const energy = Math.round((watts * 1000) / 4);
    postings.push({
      ...{ slot, device: 'tide-heater', known: 'counted', energy },
      ...{ spread: 0, covered: SLOT, drawing: SLOT },
    } as DevicePosting);
    climate.push({
      ...{ slot, probe: 'loft-air', measure: 'temperature' },
      ...{ count: 3, sum: 3 * loft, min: loft, max: loft },
    });
  }
  const store = openStore({ file: site.store });
  store.commit({ ...emptyBatch, postings, climate });
  store.close();
}

async function run(...args: string[]) {
  const { code, stdout, stderr } = await runCli('prove', site.file, ...args).ends();
  return { code, out: stdout, err: stderr };
}

describe('ampulla prove', () => {
  it('finds the fifth that a lid has saved, in colder weather, and says how sure that is', async () => {
    fill(0.8);
    const { code, out, err } = await run('tide-pool', '--changed', CHANGED, '--json');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const proof = JSON.parse(out);
    expect(proof.verdict).toBe('saved');
    const { value, uncertainty } = proof.part;
    expect(Math.abs(value - 0.2)).toBeLessThan(uncertainty);
    expect(uncertainty).toBeLessThan(0.04);
    // 25 °C is where this heater stops, and 6 W/K are 0.144 kWh for each kelvin and day.
    expect(Math.abs(proof.model.heating.perDegreeDay.value / 144_000 - 1)).toBeLessThan(0.06);
    expect(proof.savings.value).toBe(proof.predicted.value - proof.actual);
    // The day of the change counts on neither side.
    expect(proof.baseline).toMatchObject({ from: FIRST, to: '2025-12-19', used: 61 });
    expect(proof.reporting).toMatchObject({
      from: '2025-12-21',
      to: LAST,
      used: 52,
      unmeasured: 0,
    });
    expect(proof.errors.denominator).toBe('n-p');
    expect(proof.price_micro_per_kwh).toBe(200_000);
  });

  it('says so in sentences, with the money', async () => {
    fill(0.8);
    const { out } = await run('tide-heater', '--changed', CHANGED);
    expect(out).toContain('Tide heater\n');
    expect(out).toMatch(/saved {14}\d+\.\d{3} kWh ± \d+\.\d{3} kWh \((19|20|21)\.\d% ± \d\.\d%\)/);
    expect(out).toMatch(/\$\d+\.\d\d ± \$\d+\.\d\d at \$0\.20\/kWh, the mean since/);
    expect(out).toContain('It has saved energy. The range holds 90.0% of the time.');
    expect(out).toContain('by the air of Loft');
    expect(out).toContain('days less all parameters of the model (n-p)');
  });

  it('sees no difference where there is none, though it got colder and more was drawn', async () => {
    fill(1);
    const { out } = await run('tide-pool', '--changed', CHANGED, '--json');
    expect(JSON.parse(out).verdict).toBe('no-difference-seen');
  });

  it('says what is lacking, and nothing else', async () => {
    fill(0.8);
    const few = await run('tide-pool', '--changed', '2025-11-05');
    expect(few.out).toContain(
      'cannot be said yet: 16 days count before the change, and 28 are needed',
    );
    expect(few.out).not.toContain('saved');
    const site = await run('--site', '--changed', CHANGED);
    // The pump of this cabin was never heard: no day of the whole is measured.
    expect(site.out).toContain('cannot be said yet: 0 days count before the change');
  });

  it('says that no day counts where the change lies outside of the books', async () => {
    fill(0.8);
    const late = await run('tide-pool', '--changed', '2027-01-01');
    expect(late).toMatchObject({ code: 0, err: '' });
    expect(late.out).toContain('after it           no day');
    expect(late.out).toContain('0 days count after it, and 14 are needed');
    const early = await run('tide-pool', '--changed', '2024-01-01');
    expect(early.out).toContain('before the change  no day');
  });

  it('refuses what it cannot look for', async () => {
    fill(0.8);
    const nobody = await run('bathtub', '--changed', CHANGED);
    expect(nobody).toMatchObject({ code: 64, out: '' });
    expect(nobody.err).toContain("AMP_APP_PROVE: there is no tank and no device 'bathtub'");
    expect((await run('tide-pool')).err).toContain('AMP_APP_USAGE');
    expect((await run('tide-pool', '--site', '--changed', CHANGED)).err).toContain('AMP_APP_USAGE');
    expect((await run('tide-pool', '--changed', 'Yule')).err).toContain('AMP_APP_TIME');
  });
});
