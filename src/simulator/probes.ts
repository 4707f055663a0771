import { type Instant, MINUTE } from '../units/index.ts';
import type { Chance } from './chance.ts';
import { humidityAt } from './evaporation.ts';
import type { Afflictions } from './faults/afflictions.ts';
import type { ProbeAilment } from './faults/ailments.ts';
import type { House } from './physics.ts';
import type { HouseSpec, ProbeSpec } from './spec.ts';

/** Spread of a probe's noise and the step of its converter, K. */
const PROBE = { noise: 0.03, step: 0.0625 } as const;
/** Now and then a probe says by a value of its own that it has just been powered, or is off the wire. */
const BROKEN_CHANCE = 1 / 20_000;
/** … or a wild value, once: so often, and so far off, K. */
const SPIKE = { chance: 1 / 10_000, least: 3, most: 25 } as const;
/** How fast a probe that came out of the water takes on the air, as a time constant. */
const DRIES = 2.5 * MINUTE;

/** What the probes say; undefined where one says nothing. */
export interface Probes {
  /** °C. `canBreak`: the feed has a word for a probe that is broken. */
  temperature(id: string, canBreak: boolean): number | 'broken' | undefined;
  /** %RH */
  humidity(id: string): number | undefined;
  /** Whether anything is heard of it. */
  isHeard(id: string): boolean;
}

export function createProbes(
  spec: HouseSpec,
  house: House,
  options: { afflictions: Afflictions; chance: Chance; spikes: boolean },
): Probes {
  const { afflictions, chance, spikes } = options;
  const probes = new Map(
    spec.probes.map((probe) => [
      probe.id,
      {
        truth: truthOf(probe, spec, house),
        ailment: afflictions.probes.get(probe.id) as ProbeAilment,
        lastTemperature: undefined as number | undefined,
        lastHumidity: undefined as number | undefined,
      },
    ]),
  );

  const noisy = (truth: number): number => {
    const wild = spikes && chance.next() < SPIKE.chance ? wildError() : 0;
    const value = truth + wild + chance.normal() * PROBE.noise;
    return Math.round(value / PROBE.step) * PROBE.step;
  };

  function wildError(): number {
    const size = SPIKE.least + (SPIKE.most - SPIKE.least) * chance.next();
    return chance.next() < 0.5 ? -size : size;
  }

  return {
    temperature(id, canBreak) {
      const probe = probes.get(id);
      if (probe === undefined || probe.ailment.silent) return undefined;
      const { ailment } = probe;
      if (ailment.frozen && probe.lastTemperature !== undefined) return probe.lastTemperature;
      if (canBreak && chance.next() < BROKEN_CHANCE) return 'broken';
      const truth = probe.truth(ailment.displacedSince);
      if (truth === undefined) return undefined;
      probe.lastTemperature = noisy(truth);
      return probe.lastTemperature;
    },
    humidity(id) {
      const probe = probes.get(id);
      if (probe === undefined || probe.ailment.silent) return undefined;
      if (probe.ailment.frozen && probe.lastHumidity !== undefined) return probe.lastHumidity;
      probe.lastHumidity = 100 * humidityAt(house.at) + chance.normal();
      return probe.lastHumidity;
    },
    isHeard: (id) => probes.get(id)?.ailment.silent === false,
  };
}

/** The temperature at a probe, °C, given since when it hangs in the air. */
function truthOf(
  { tank, room }: ProbeSpec,
  spec: HouseSpec,
  house: House,
): (displacedSince: Instant | undefined) => number | undefined {
  const water = house.tanks.get(tank ?? '');
  if (water === undefined) return () => house.rooms.get(room ?? '');
  const around = spec.tanks.find(({ id }) => id === tank)?.room ?? '';
  return (displacedSince) => {
    if (displacedSince === undefined) return water.temperature;
    const air = house.rooms.get(around) ?? water.temperature;
    return air + (water.temperature - air) * Math.exp((displacedSince - house.at) / DRIES);
  };
}
