import {
  createSimulator,
  type Fault,
  type HouseSpec,
  type Simulator,
  type SimulatorOptions,
  type WrittenFeed,
} from '../../src/simulator/index.ts';
import { HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { START } from './houses.ts';

/** The plainest way in which plugs and probes can speak. */
const FEEDS: readonly WrittenFeed[] = [
  {
    topic: 'plug/{id}',
    names: {},
    values: [
      { measure: 'power', plug: '{id}', at: '/w', unit: 'W' },
      { measure: 'counter', plug: '{id}', at: '/wh', unit: 'Wh' },
    ],
    decimal_comma: false,
  },
  {
    topic: 'alive/{id}',
    names: {},
    values: [{ measure: 'presence', plug: '{id}', on: ['here'], off: ['gone'] }],
    decimal_comma: false,
  },
  {
    topic: 'probe/{id}',
    names: {},
    values: [{ measure: 'temperature', probe: '{id}', unit: 'C' }],
    decimal_comma: false,
  },
];

export const INTERVAL = 2 * MINUTE;

/** A simulated house and all that it says. */
export interface Heard {
  readonly simulator: Simulator;
  /** Goes on to `until`, looking each minute. */
  go(until: Instant, look?: () => void): void;
  said(topic: string): readonly { readonly at: Instant; readonly payload: string }[];
  watts(plug?: string): { readonly at: Instant; readonly value: number }[];
  counters(plug?: string): { readonly at: Instant; readonly value: number }[];
  temperatures(probe?: string): { readonly at: Instant; readonly value: number }[];
  presence(plug?: string): string[];
}

export function heard(
  spec: HouseSpec,
  options: Partial<SimulatorOptions> = {},
  feeds: readonly WrittenFeed[] = FEEDS,
): Heard {
  const simulator = createSimulator(spec, feeds, { seed: 11, start: START, ...options });
  const said = new Map<string, { at: Instant; payload: string }[]>();
  const of = (topic: string) => said.get(topic) ?? [];
  const field = (plug: string, name: 'w' | 'wh') =>
    of(`plug/${plug}`).map(({ at, payload }) => ({
      at,
      value: (JSON.parse(payload) as Record<string, number>)[name] ?? Number.NaN,
    }));
  return {
    simulator,
    go(until, look = () => {}) {
      while (simulator.house.at < until) {
        const next = Math.min(later(simulator.house.at, MINUTE), until) as Instant;
        for (const { topic, at, payload } of simulator.advance(next, INTERVAL)) {
          const list = said.get(topic) ?? [];
          list.push({ at, payload });
          said.set(topic, list);
        }
        look();
      }
    },
    said: of,
    watts: (plug = 'socket') => field(plug, 'w'),
    counters: (plug = 'socket') => field(plug, 'wh'),
    temperatures: (probe = 'reed-water') =>
      of(`probe/${probe}`).map(({ at, payload }) => ({ at, value: Number(payload) })),
    presence: (plug = 'socket') => of(`alive/${plug}`).map(({ payload }) => payload),
  };
}

export const calm = { habits: { waterChanges: false } } as const;
/** When faults strike. */
export const FROM = later(START, 3 * HOUR);

/** The house three hours on, when the fault strikes. */
export function struck(spec: HouseSpec, fault: Fault): Heard {
  const house = heard(spec, calm);
  house.go(FROM);
  house.simulator.strike(fault);
  return house;
}

/** What was said after `from` and up to `to`. */
export const said = (
  list: readonly { readonly at: Instant; readonly value: number }[],
  from: Instant,
  to: Instant,
): number[] => list.filter(({ at }) => at > from && at <= to).map(({ value }) => value);

export const watts = ({ simulator: { house } }: Heard, id: string): number =>
  house.devices.get(id)?.watts ?? Number.NaN;
