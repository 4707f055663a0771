import { describe, expect, it } from 'vitest';
import { boxOf, type TankShape } from '../../src/heat/index.ts';
import { DEVICES } from './devices-sample.ts';
import { edited, load, told } from './sample.ts';

describe('a rule that goes by water', () => {
  const sizes = {
    'volume only': { volume_l: 80 },
    'dimensions only': { dimensions_cm: { length: 60, width: 45, height: 45 } },
    both: { volume_l: 80, dimensions_cm: { length: 60, width: 45, height: 45 } },
  };
  const housings = ['aquarium', 'vivarium', 'terrarium', 'pond', 'rack-bay'] as const;

  for (const by of ['volume', 'heat-need'] as const) {
    it(`refuses by: ${by} just those tanks whose water cannot be reckoned`, () => {
      for (const housing of housings) {
        for (const [says, size] of Object.entries(sizes)) {
          const shape: TankShape = { housing, walls: 'glass', lid: true, ...size };
          const rest = by === 'volume' ? '' : ', room_without_c: 11';
          const text = edited(DEVICES, [
            {
              swap: 'probes:\n  reed-water',
              by: `  newt: { room: den, keep_c: { min: 18, max: 24 }, housing: ${housing}, ${JSON.stringify(size).slice(1, -1).replaceAll(':', ': ')} }\nprobes:\n  reed-water`,
            },
            {
              swap: 'divided: { by: equal, among: [reed-bed, upkeep] }',
              by: `divided: { by: ${by}, among: [reed-bed, newt]${rest} }`,
            },
          ]);
          const problems = told(load(text)).map(({ code, path }) => `${code} ${path}`);
          expect({ housing, says, problems }).toEqual({
            housing,
            says,
            problems:
              boxOf(shape) === undefined
                ? ['AMP_CONFIG_DIVIDED devices.skimmer.divided.among[1]']
                : [],
          });
        }
      }
    });
  }
});
