import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Delivery } from '../../src/alerts/index.ts';
import { createCourier } from '../../src/notify/index.ts';
import { HOUR, SECOND } from '../../src/units/index.ts';
import { runs } from '../units/runs.ts';
import { alert, channel, DELIVERED, FAILED } from './couriers.ts';
import { delivery, handClock, keep, keepLog } from './keeping.ts';

/** What happens to an alert, in order; of each alert a beginning of it. */
const STORY = ['opened', 'worsened', 'closed'] as const;

const history = fc.array(
  fc.oneof(
    fc.record({ kind: fc.constant('news' as const), subject: fc.integer({ min: 0, max: 3 }) }),
    fc.record({ kind: fc.constant('wait' as const), seconds: fc.integer({ min: 1, max: 1200 }) }),
    fc.record({
      kind: fc.constantFrom(
        'outage' as const,
        'relief' as const,
        'restart' as const,
        'kill' as const,
      ),
    }),
  ),
  { maxLength: 60 },
);

describe('whatever happens to a channel and to the process', () => {
  it('each alert’s last state is told, in order, and nothing twice but what a kill had on its way', async () => {
    await fc.assert(
      fc.asyncProperty(history, async (events) => {
        const store = keep();
        const clock = handClock();
        const logger = keepLog();
        const taken: string[] = [];
        const told = new Map<string, number>();
        let works = true;
        let dying = false;
        let kills = 0;
        const kitchen = channel(({ id }) => {
          if (!works) return FAILED;
          taken.push(id);
          return DELIVERED;
        });
        const mortal = {
          ...store,
          saveDelivery(row: Delivery) {
            if (!dying) return store.saveDelivery(row);
            throw new Error('killed');
          },
        };
        const born = () => createCourier({ channels: [kitchen], store: mortal, clock, logger });
        let courier = born();
        for (const event of events) {
          if (event.kind === 'news') {
            const id = alert(`h${event.subject}`);
            const at = told.get(id) ?? 0;
            const change = STORY[at];
            if (change === undefined) continue;
            told.set(id, at + 1);
            store.saveDelivery(
              delivery({ alert: id, change, created: clock.now(), due: clock.now() }),
            );
          }
          if (event.kind === 'wait') clock.turn(event.seconds * SECOND);
          if (event.kind === 'outage') works = false;
          if (event.kind === 'relief') works = true;
          if (event.kind === 'restart') courier = born();
          dying = event.kind === 'kill';
          const before = taken.length;
          await courier.work();
          if (dying) {
            kills += taken.length - before;
            dying = false;
            courier = born();
          }
        }
        works = true;
        for (let round = 0; round < 3; round++) {
          clock.turn(HOUR);
          await courier.work();
        }
        for (const [id, count] of told) {
          const stages = taken
            .filter((one) => one.startsWith(`${id}/`))
            .map((one) => STORY.indexOf(one.split('/').at(-2) as (typeof STORY)[number]));
          expect(stages.at(-1)).toBe(count - 1);
          expect(stages).toEqual([...stages].sort());
        }
        expect(taken.length - new Set(taken).size).toBeLessThanOrEqual(kills);
        expect(store.states().filter((state) => state.endsWith('waiting'))).toEqual([]);
      }),
      runs(200),
    );
  });
});
