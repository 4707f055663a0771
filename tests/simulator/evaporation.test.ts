import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { evaporating, evaporatingMore } from '../../src/simulator/evaporation.ts';

// Source: tests/reference/physics/SOURCE.md.
const reference = JSON.parse(
  readFileSync(new URL('../reference/physics/water_air_reference.json', import.meta.url), 'utf8'),
) as { iapws_if97_computed: { rows: { t_C: number; psat_Pa: number }[] } };

describe('what open water of the simulated house evaporates', () => {
  it('goes by the vapor pressures of the IAPWS formulation, within 0.5 %', () => {
    const warm = reference.iapws_if97_computed.rows.filter(({ t_C }) => t_C >= 10 && t_C <= 30);
    expect(warm.length).toBeGreaterThan(5);
    for (const { t_C, psat_Pa } of warm) {
      // Into air without any vapor, all of the water's own pressure drives it.
      expect(Math.abs(evaporating(1, t_C, 20, 0) / (0.049 * psat_Pa) - 1)).toBeLessThan(0.005);
    }
  });

  it('goes on in a room as warm as the water, and never turns to condensing', () => {
    expect(evaporating(0.5, 25, 25, 0.5)).toBeGreaterThan(30);
    expect(evaporating(0.5, 10, 30, 0.9)).toBe(0);
    expect(evaporating(0, 25, 20, 0.5)).toBe(0);
  });

  it('rises with the cold as its slope says', () => {
    const step = evaporating(0.5, 25, 19.95, 0.5) - evaporating(0.5, 25, 20.05, 0.5);
    expect(step / 0.1).toBeCloseTo(evaporatingMore(0.5, 20, 0.5), 4);
  });
});
