import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Clock, instant } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import { IN_TIME, startHere } from './daemon.ts';
import { cabin, plugsNamed } from './house.ts';
import { publisherTo } from './publisher.ts';
import { type Booked, createSite } from './site.ts';

/*
 * Measured loads of real households, sent to the running daemon as plugs would send them. Sources,
 * licenses and citations stand in tests/reference/power/SOURCE.md: tracebase (Reinhardt et al. 2012,
 * ODbL 1.0) and AMPds2 (Makonin et al. 2016, CC BY 4.0). What the books must say stands in
 * expected.json, computed apart from this project's code; 0.5 % are allowed.
 */

const folder = new URL('../reference/power/', import.meta.url);
const read = (file: string): string => readFileSync(new URL(file, folder), 'utf8');
const lines = (file: string): string[] => read(file).trim().split('\n');

interface Numbers {
  readonly energy_hold_Wh: number;
}
interface Trace {
  readonly file?: string;
  readonly decimated?: Numbers;
  readonly raw?: Numbers;
}
interface Circuit {
  readonly counter_delta_Wh: number;
  readonly sumP_div60_Wh_excluding_last: number;
}
const expected: Record<string, Trace> = JSON.parse(read('expected.json'));
const circuit: Circuit = JSON.parse(read('expected.json')).ampds2_B1E;

const traces = Object.entries(expected).flatMap(([name, { file, decimated, raw }]) => {
  const numbers = decimated ?? raw;
  if (numbers === undefined || file === undefined || !file.includes('tracebase')) return [];
  const plug = name.toLowerCase().replaceAll('_', '-');
  return [{ plug, file: file.replace('power/', ''), wh: numbers.energy_hold_Wh }];
});

const AMPDS = 'ampds2_B1E_2014-03-01_to_03_utc_1min.csv';
const CIRCUIT = 'circuit';
const CIRCUIT_POWER = 'circuit-power';

/** tracebase writes local time of Darmstadt, without a zone: the feed adds it. */
function* ofTrace(plug: string, file: string): Generator<[topic: string, payload: string]> {
  for (const line of lines(file)) {
    const [, day, month, year, time, watts] = /^(..)\/(..)\/(....) (.*?);(\d+);/.exec(line) ?? [];
    const when = `${year}-${month}-${day} ${time}`;
    yield [`trace/${plug}`, JSON.stringify({ when, load: { watts } })];
  }
}

function* ofCircuit(
  plug: string,
  hasCounter: boolean,
): Generator<[topic: string, payload: string]> {
  for (const line of lines(AMPDS).slice(1)) {
    const [ts, , , watts, total] = line.split(',').map(Number);
    const payload = hasCounter ? { ts, watts, total } : { ts, watts };
    yield [`meter/${plug}`, JSON.stringify(payload)];
  }
}

/** So many messages are on their way at most: none shall fall to a full buffer. */
const UNDER_WAY = 500;
/** After all the traces: a time that lies ahead would be refused. */
const clock: Clock = {
  ...machineClock,
  now: () => instant(Date.UTC(2014, 5, 1)),
};

describe('measured loads through MQTT', () => {
  const names = [...traces.map(({ plug }) => plug), CIRCUIT, CIRCUIT_POWER];
  const site = createSite({
    ...cabin,
    ...plugsNamed(names),
    probes: {},
    store: { group_time_s: 1 },
    feeds: {
      traces: {
        topic: 'trace/{plug}',
        values: [{ measure: 'power', at: '/load/watts' }],
        time: { at: '/when', format: 'iso', zone: 'Europe/Berlin' },
      },
      circuit: {
        topic: `meter/${CIRCUIT}`,
        values: [
          { measure: 'counter', plug: CIRCUIT, at: '/total', unit: 'Wh' },
          { measure: 'power', plug: CIRCUIT, at: '/watts' },
        ],
        time: { at: '/ts', format: 'epoch-s' },
      },
      'circuit-power': {
        topic: `meter/${CIRCUIT_POWER}`,
        values: [{ measure: 'power', plug: CIRCUIT_POWER, at: '/watts' }],
        time: { at: '/ts', format: 'epoch-s' },
      },
    },
  });
  let booked: Map<string, Booked>;
  let refusals: unknown[];

  beforeAll(async () => {
    const { daemon } = await startHere(site, { clock });
    const publisher = await publisherTo(Number(daemon.brokerPort));
    const streams = [
      ...traces.map(({ plug, file }) => ofTrace(plug, file)),
      ofCircuit(CIRCUIT, true),
      ofCircuit(CIRCUIT_POWER, false),
    ];
    let sent = 0;
    const caughtUp = (behind: number) =>
      vi.waitFor(() => expect(daemon.received).toBeGreaterThanOrEqual(sent - behind), {
        ...IN_TIME,
        interval: 1,
      });
    // All plugs speak in turn, each in its own order.
    const speaking = new Set(streams);
    while (speaking.size > 0) {
      for (const stream of speaking) {
        const next = stream.next();
        if (next.done === true) {
          speaking.delete(stream);
          continue;
        }
        void publisher.publish(...next.value, 0);
        sent += 1;
      }
      if (sent % 100 < streams.length) await caughtUp(UNDER_WAY);
    }
    await caughtUp(0);
    expect(daemon.received).toBe(sent);
    await publisher.stop();
    await daemon.stop();
    booked = site.booked();
    refusals = site.read((books) => books.refusals());
  }, 60_000);
  afterAll(() => site.remove());

  const of = (plug: string): Booked => booked.get(`${plug}-device`) as Booked;
  const within = (mwh: number, wh: number): void =>
    expect(Math.abs(mwh / 1000 / wh - 1)).toBeLessThanOrEqual(0.005);

  it('are nine traces and a circuit, of which no value was refused', () => {
    expect(traces).toHaveLength(9);
    expect([...booked.keys()].sort()).toEqual(names.map((name) => `${name}-device`).sort());
    expect(refusals).toEqual([]);
  });

  it.each(traces)('$plug is booked as $wh Wh, all of it measured', ({ plug, wh }) => {
    const { integrated, ...rest } = of(plug);
    within(integrated, wh);
    expect(rest).toEqual({ counted: 0, bridged: 0, reckoned: 0 });
  });

  it('the circuit’s counter counts 147 Wh exactly, whatever its power says', () => {
    expect(circuit.counter_delta_Wh).toBe(147);
    const { counted, integrated, bridged } = of(CIRCUIT);
    expect(counted).toBe(147_000);
    // The counter's steps are whole Wh: what came after the last one is less.
    expect(integrated).toBeLessThan(1_000);
    expect(bridged).toBe(0);
  });

  it('the circuit’s power alone comes within a hundredth of its counter, as published', () => {
    const { integrated, counted, bridged } = of(CIRCUIT_POWER);
    within(integrated, circuit.sumP_div60_Wh_excluding_last);
    expect(Math.abs(integrated / of(CIRCUIT).counted - 1)).toBeLessThan(0.01);
    expect([counted, bridged]).toEqual([0, 0]);
  });
});
