import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type HouseImport, readEspi } from '../../src/imports/index.ts';
import { type Calendar, HOUR, instant, type LocalDate, MINUTE } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { NEW_YORK, reference, SITE } from './sample.ts';

/**
 * Four files published by the Green Button Alliance and by EnergyOS as examples of NAESB REQ.21
 * ESPI; what must come out was computed from them with other means. See reference/espi/SOURCE.md.
 */
interface Expected {
  readonly readings: number;
  readonly energy_kWh: number;
  readonly cost_usd: number;
  readonly intervalLength: number;
  readonly first_and_odd_days: readonly {
    readonly start: number;
    readonly duration_s: number;
    readonly readings: number;
    readonly value_sum_Wh: number;
    readonly cost_sum_1e5: number;
  }[];
}

const expectedFiles = Object.entries(
  JSON.parse(reference('espi/expected.json').toString()) as Record<string, Expected>,
).filter(([name]) => name.endsWith('.xml'));

const intervalsOf = ({ meters }: HouseImport) => meters.flatMap(({ intervals }) => intervals);

/** What a file says of one local day. */
function dayOf(imported: HouseImport, calendar: Calendar, date: string) {
  const { from, to } = calendar.dayOf(date as LocalDate);
  const within = intervalsOf(imported).filter(
    (interval) => interval.from >= from && interval.to <= to,
  );
  return {
    hours: (to - from) / HOUR,
    readings: within.length,
    wattHours: within.reduce((sum, { energy }) => sum + energy, 0) / 1000,
    cost1e5: within.reduce((sum, { cost }) => sum + (cost ?? 0), 0) / 10,
  };
}

describe('published ESPI files', () => {
  it('are all there', () => {
    expect(expectedFiles).toHaveLength(4);
  });

  it.each(expectedFiles)(
    '%s: as many readings, kWh and dollars as published',
    async (name, expected) => {
      const imported = await readEspi([reference(`espi/${name}`)], SITE);
      const intervals = intervalsOf(imported);
      expect(imported.meters).toHaveLength(1);
      expect(intervals).toHaveLength(expected.readings);
      expect(imported.energy).toBe(Math.round(expected.energy_kWh * 1e6));
      expect(imported.cost).toBe(Math.round(expected.cost_usd * 1e6));
      expect(intervals.every(({ from, to }) => to - from === expected.intervalLength * 1000)).toBe(
        true,
      );
      expect(imported.warnings).toEqual([]);
    },
  );

  it.each(expectedFiles)('%s: the sums of the days that are listed', async (name, expected) => {
    const imported = await readEspi([reference(`espi/${name}`)], SITE);
    expect(expected.first_and_odd_days.length).toBeGreaterThan(0);
    for (const day of expected.first_and_odd_days) {
      const date = NEW_YORK.dateAt(instant(day.start * 1000));
      expect(dayOf(imported, NEW_YORK, date)).toEqual({
        hours: day.duration_s / 3600,
        readings: day.readings,
        wattHours: day.value_sum_Wh,
        cost1e5: day.cost_sum_1e5,
      });
    }
  });

  it('have 25 hours on the day the clock is set back', async () => {
    const file = reference('espi/openespi_hourlyForMonthNov2011.xml');
    const day = dayOf(await readEspi([file], SITE), NEW_YORK, '2011-11-06');
    expect(day).toMatchObject({ hours: 25, readings: 25, wattHours: 86_116 });
  });

  it('have 92 quarter-hours on the day the clock is set forward', async () => {
    const file = reference('espi/openespi_test_usage_data_11.xml');
    const imported = await readEspi([file], SITE);
    expect(dayOf(imported, NEW_YORK, '2012-03-11')).toMatchObject({ hours: 23, readings: 92 });
    expect(intervalsOf(imported).every(({ from, to }) => to - from === 15 * MINUTE)).toBe(true);
  });

  it('name their meter by its address and the title of its entry', async () => {
    const { meters } = await readEspi([reference('espi/openespi_test_usage_data_01.xml')], SITE);
    expect(meters.map(({ id, name }) => [id, name])).toEqual([
      ['5446af3f', 'Front Electric Meter'],
    ]);
    expect(meters[0]?.intervals[0]?.meter).toBe('5446af3f');
  });

  it('read the same in whatever pieces they come', async () => {
    const file = reference('espi/openespi_test_usage_data_11.xml');
    const whole = await readEspi([file], SITE);
    const sizes = fc.array(fc.integer({ min: 1, max: 4000 }), { minLength: 1, maxLength: 40 });
    await fc.assert(
      fc.asyncProperty(sizes, fc.boolean(), async (lengths, asText) => {
        const chunks: (Uint8Array | string)[] = [];
        for (let from = 0, turn = 0; from < file.length; turn += 1) {
          const to = from + (lengths[turn % lengths.length] ?? 1);
          const piece = file.subarray(from, to);
          // The file is ASCII, so that no piece of it ends within a character.
          chunks.push(asText ? piece.toString('latin1') : piece);
          from = to;
        }
        expect(await readEspi(chunks, SITE)).toEqual(whole);
      }),
      runs(40),
    );
  });

  it('read the same byte by byte, with letters of several bytes', async () => {
    const text = reference('espi/openespi_test_usage_data_01.xml')
      .toString()
      .replace('Front Electric Meter', 'Zähler – Straße 家');
    const bytes = [...Buffer.from(text)].map((byte) => Uint8Array.of(byte));
    const { meters, energy } = await readEspi(bytes, SITE);
    expect(meters[0]?.name).toBe('Zähler – Straße 家');
    expect(energy).toBe(93_846_000);
  });
});
