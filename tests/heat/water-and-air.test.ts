import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  evaporation,
  saturationPressure,
  vaporizationHeat,
  vaporPressure,
} from '../../src/heat/index.ts';
import { runs } from '../units/runs.ts';

interface PoolCase {
  A_m2: number;
  Tw_C: number;
  Ta_C: number;
  W: number;
  p_baro_Pa: number;
  AF: number;
  cover_factor: number;
  m_kg_s: number;
  psat_w_Pa: number;
  pa_Pa: number;
  p_tol: number;
}

// Sources: tests/reference/physics/SOURCE.md.
const reference = JSON.parse(
  readFileSync(new URL('../reference/physics/water_air_reference.json', import.meta.url), 'utf8'),
) as {
  ashrae_2017_fundamentals_ch1_table3_psat_Pa: Record<string, number>;
  iapws_if97_computed: { rows: { t_C: number; psat_Pa: number; h_fg_kJ_kg: number }[] };
  iapws_published_check_values: { T_K?: number; psat_MPa?: number }[];
  psychrolib_checks: { GetVapPresFromRelHum_25C_80pct_Pa: number };
  energyplus_pool_evaporation: { tests: PoolCase[] };
};

const off = (found: number, published: number): number => Math.abs(found / published - 1);

describe('water vapor', () => {
  it('has the pressures of ASHRAE Fundamentals 2017, chapter 1, table 3, within 0.03 %', () => {
    const rows = Object.entries(reference.ashrae_2017_fundamentals_ch1_table3_psat_Pa).filter(
      ([t]) => Number.isFinite(Number(t)),
    );
    expect(rows).toHaveLength(6);
    for (const [t, published] of rows) {
      expect(off(saturationPressure(Number(t)), published), `${t} °C`).toBeLessThan(0.0003);
    }
  });

  it('has the pressures of IAPWS-IF97 within 0.05 %, computed and published', () => {
    for (const row of reference.iapws_if97_computed.rows) {
      expect(off(saturationPressure(row.t_C), row.psat_Pa), `${row.t_C} °C`).toBeLessThan(0.0005);
    }
    // IAPWS R7-97, table 35: 300 K, 0.353658941e-2 MPa.
    const published = reference.iapws_published_check_values.find((it) => it.psat_MPa);
    expect(
      off(saturationPressure((published?.T_K ?? 0) - 273.15), (published?.psat_MPa ?? 0) * 1e6),
    ).toBeLessThan(0.0005);
  });

  it('takes the heat to form that IAPWS-IF97 says, within 0.02 %', () => {
    for (const { t_C, h_fg_kJ_kg } of reference.iapws_if97_computed.rows) {
      expect(off(vaporizationHeat(t_C), h_fg_kJ_kg * 1000), `${t_C} °C`).toBeLessThan(0.0002);
    }
  });

  it('has the partial pressure that psychrolib tests at 25 °C and 80 %', () => {
    const published = reference.psychrolib_checks.GetVapPresFromRelHum_25C_80pct_Pa;
    expect(off(vaporPressure(25, 0.8), published)).toBeLessThan(0.0003);
  });
});

describe('water vapor, against the psychrolib library,', () => {
  // It ships no types.
  const psychrolib = createRequire(import.meta.url)('psychrolib') as {
    SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(celsius: number): number;
    GetVapPresFromRelHum(celsius: number, humidity: number): number;
  };
  psychrolib.SetUnitSystem(psychrolib.SI);

  it('has the same pressure at any temperature and humidity, within 0.01 %', () => {
    const temperature = fc.double({ min: -40, max: 90, noNaN: true });
    // Between 0 °C and the triple point, 0.01 °C, the library still takes ice.
    const clear = temperature.filter((celsius) => celsius < 0 || celsius > 0.01);
    const humidity = fc.double({ min: 0.01, max: 1, noNaN: true });
    fc.assert(
      fc.property(clear, humidity, (celsius, wet) => {
        const theirs = psychrolib.GetSatVapPres(celsius);
        expect(off(saturationPressure(celsius), theirs)).toBeLessThan(0.0001);
        const partial = psychrolib.GetVapPresFromRelHum(celsius, wet);
        expect(off(vaporPressure(celsius, wet), partial)).toBeLessThan(0.0001);
      }),
      runs(),
    );
  });
});

describe('evaporation from still water', () => {
  const cases = reference.energyplus_pool_evaporation.tests;

  it('comes to the two pool cases of EnergyPlus within 0.5 %', () => {
    expect(cases).toHaveLength(2);
    for (const it of cases) {
      // Partial pressure from the humidity ratio W: p·W / (0.621945 + W), ASHRAE ch. 1, eq. 20.
      const airPa = (it.p_baro_Pa * it.W) / (0.621945 + it.W);
      const waterPa = saturationPressure(it.Tw_C);
      expect(Math.abs(airPa - it.pa_Pa)).toBeLessThanOrEqual(it.p_tol);
      expect(Math.abs(waterPa - it.psat_w_Pa)).toBeLessThanOrEqual(it.p_tol);
      const mass = evaporation(it.A_m2, waterPa, airPa, it.AF, it.cover_factor);
      expect(off(mass, it.m_kg_s)).toBeLessThan(0.005);
    }
  });

  it('is never negative', () => {
    expect(evaporation(1, saturationPressure(10), vaporPressure(30, 1))).toBe(0);
  });
});
