import type { House } from '../../src/app/house.ts';
import type { Outgoing } from '../../src/simulator/index.ts';
import { DAY, type Instant } from '../../src/units/index.ts';

/** What truly went out on the air: when each source spoke last, and how long probes stood still. */
export interface Stills {
  hear(message: Outgoing, at: Instant): void;
  /** By 'plug/ID' or 'probe/ID'. */
  heard(source: string): Instant | undefined;
  /** The longest time in which a probe said the same, ms; stretches of a day and more left out. */
  longest(probe: string): number;
}

/** Longer ones are faults of the laboratory's own. */
const LONGEST = DAY / 4;

export function createStills({ feeds }: House): Stills {
  const heard = new Map<string, Instant>();
  const values = new Map<string, { value: number; since: Instant; longest: number }>();
  const encoder = new TextEncoder();
  return {
    hear({ topic, payload }, at) {
      // A decoder of the product reads what the simulator wrote; its own tests hold the two apart.
      const message = { topic, payload: encoder.encode(payload), retained: false, arrived: at };
      for (const { from, id, measure, value } of feeds.decode(message).readings) {
        heard.set(`${from}/${id}`, at);
        if (from !== 'probe' || measure !== 'temperature') continue;
        const known = values.get(id);
        if (known === undefined) values.set(id, { value, since: at, longest: 0 });
        else if (known.value !== value) {
          const still = at - known.since;
          if (still <= LONGEST) known.longest = Math.max(known.longest, still);
          known.value = value;
          known.since = at;
        }
      }
    },
    heard: (source) => heard.get(source),
    longest: (probe) => values.get(probe)?.longest ?? 0,
  };
}
