import type { Measure, Reading } from '../readings/index.ts';
import type { Instant } from '../units/index.ts';
import type { Look } from '../watches/index.ts';
import type { Measured } from '../web/index.ts';
import type { House } from './house.ts';

/** The last value of each source and measure, for the page. */
export interface Latest {
  take(reading: Reading): void;
  /** What the silence watches said: a source they miss, or cannot see, is stale. */
  heed(looks: readonly Pick<Look, 'watch' | 'subject' | 'finding'>[]): void;
  plugPower(plug: string): Measured | undefined;
  tankTemperature(tank: string): Measured | undefined;
  roomTemperature(room: string): Measured | undefined;
  roomHumidity(room: string): Measured | undefined;
}

export function createLatest(house: () => House): Latest {
  const values = { plug: lastOfEach(), probe: lastOfEach() };
  let silent: ReadonlySet<string> = new Set();

  const measured = (from: 'plug' | 'probe', id: string, measure: Measure): Measured | undefined => {
    const last = values[from][measure].get(id);
    return last === undefined ? undefined : { ...last, stale: silent.has(`${from}/${id}`) };
  };

  /** Of several probes the freshest one speaks. */
  const ofPlace = (place: 'tank' | 'room', id: string, measure: Measure): Measured | undefined =>
    Object.entries(house().config.probes)
      .filter(([, probe]) => probe[place] === id)
      .flatMap(([probe]) => measured('probe', probe, measure) ?? [])
      .sort((a, b) => Number(a.stale) - Number(b.stale) || b.at - a.at)[0];

  return {
    take({ from, id, measure, value, at, retained }) {
      if (retained) return;
      const last = values[from][measure].get(id);
      if (last === undefined) {
        values[from][measure].set(id, { value, at });
      } else {
        last.value = value;
        last.at = at;
      }
    },
    heed(looks) {
      silent = new Set(
        looks
          .filter(
            ({ watch, finding }) =>
              watch.endsWith('-silent') &&
              (finding.verdict === 'raised' || finding.reason === 'broker-away'),
          )
          .map(({ subject }) => `${subject.kind}/${subject.id}`),
      );
    },
    plugPower: (plug) => measured('plug', plug, 'power'),
    tankTemperature: (tank) => ofPlace('tank', tank, 'temperature'),
    roomTemperature: (room) => ofPlace('room', room, 'temperature'),
    roomHumidity: (room) => ofPlace('room', room, 'humidity'),
  };
}

interface Last {
  value: number;
  at: Instant;
}

/** By measure and source; changed in place, as every message comes by here. */
const lastOfEach = (): Readonly<Record<Measure, Map<string, Last>>> => ({
  power: new Map(),
  counter: new Map(),
  voltage: new Map(),
  temperature: new Map(),
  humidity: new Map(),
  presence: new Map(),
});
