import fc from 'fast-check';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { createMosquitto, describeWithMosquitto, type Mosquitto } from '../mqtt/mosquitto.ts';
import { type Child, endChildren, IN_TIME, startChild } from './daemon.ts';
import { cabin, plugsNamed } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { counterInBooks, createSite, type Site } from './site.ts';

const { AMPULLA_LONG } = process.env;
const KILLS = AMPULLA_LONG ? 50 : 5;
const SEED = 20_261_125;

/** What the plugs' counters show before the first message, mWh. */
const STARTS_AT = 7_654_321;
/** All plugs speak this often, ms. */
const ROUND = 20;

/** Kept by the broker while the daemon is dead, and delivered in one burst afterward. */
const CERTAIN = ['first', 'second', 'third'];
/** Lost while the daemon is dead. */
const FLEETING = ['fourth', 'fifth'];
const NAMES = [...CERTAIN, ...FLEETING];
/** It has no counter: what it drew while the daemon was dead can only be bridged. */
const STEADY = 'steady';
const STEADY_W = 120;

/** When a daemon is killed: so many rounds after it was started, or after it said that it runs. */
const death = fc.record({
  after: fc.constantFrom('running', 'running', 'running', 'spawn'),
  rounds: fc.integer({ min: 0, max: 40 }),
});

describeWithMosquitto('a daemon that is killed again and again', () => {
  let mosquitto: Mosquitto;
  let publisher: Publisher;
  let site: Site;

  beforeEach(async () => {
    mosquitto = await createMosquitto('nobody', 'nothing');
    await mosquitto.start();
    publisher = await publisherTo(mosquitto.openPort);
    site = createSite({
      ...cabin,
      ...plugsNamed([...NAMES, STEADY], { limit_w: 3000 }),
      probes: {},
      broker: { kind: 'external', url: `mqtt://127.0.0.1:${mosquitto.openPort}` },
      feeds: {
        plugs: {
          topic: 'cabin/{plug}',
          values: [
            { measure: 'counter', at: '/total', unit: 'mWh' },
            { measure: 'power', at: '/w' },
          ],
        },
        steady: {
          topic: `bare/${STEADY}`,
          values: [{ measure: 'power', plug: STEADY }],
        },
      },
    });
  });
  afterEach(async () => {
    await endChildren();
    await publisher?.stop();
    await mosquitto?.remove();
    site?.remove();
  });

  it(`books the exact difference of every counter after ${KILLS} kills`, {
    timeout: 30_000 + KILLS * 15_000,
  }, async () => {
    const random = fc.sample(fc.integer({ min: 0, max: 12 }), { seed: SEED, numRuns: 5_000 });
    const counters = new Map(NAMES.map((name) => [name, STARTS_AT]));
    let rounds = 0;

    async function speak(grow: boolean): Promise<void> {
      const sent = NAMES.map((name, index) => {
        const rise = grow ? (random[(rounds * NAMES.length + index) % random.length] ?? 0) : 0;
        const total = (counters.get(name) ?? 0) + rise;
        counters.set(name, total);
        const payload = JSON.stringify({ total, w: (rise * 3600) / ROUND });
        return publisher.publish(`cabin/${name}`, payload, CERTAIN.includes(name) ? 1 : 0);
      });
      sent.push(publisher.publish(`bare/${STEADY}`, `${STEADY_W}`, 0));
      await Promise.all(sent);
      rounds += 1;
    }

    /** Until when the plug without a counter is in the books, ms, and with how much, mWh. */
    function steadyInBooks(): { until: number; energy: number } {
      const saved = site.read((books) => books.states('metering').get(STEADY)) as
        | { meter: { until: number } }
        | undefined;
      const { integrated = 0, bridged = 0 } = site.booked().get(`${STEADY}-device`) ?? {};
      return { until: saved?.meter.until ?? Number.NaN, energy: integrated + bridged };
    }

    const inBooks = () => NAMES.map((name) => counterInBooks(site, name));

    let child: Child = startChild(site);
    await child.says('ampulla is running');
    await vi.waitFor(async () => {
      await speak(false);
      expect(inBooks()).toEqual(NAMES.map(() => STARTS_AT));
    }, IN_TIME);

    // Nothing is under way now, so that state and entries are of one moment.
    await vi.waitFor(() => expect(steadyInBooks().until).toBeGreaterThan(0), IN_TIME);
    const steadyBefore = steadyInBooks();

    let pacing: NodeJS.Timeout | undefined;
    const spoken = new Promise<void>((_, fail) => {
      pacing = setInterval(() => void speak(true).catch(fail), ROUND);
    });
    const roundsPass = (count: number) => {
      const until = rounds + count;
      const passed = vi.waitFor(() => expect(rounds).toBeGreaterThanOrEqual(until), IN_TIME);
      return Promise.race([passed, spoken]);
    };

    for (const { after, rounds: count } of fc.sample(death, { seed: SEED, numRuns: KILLS })) {
      if (after === 'running') await child.says('ampulla is running');
      await roundsPass(count);
      await child.kill();
      child = startChild(site);
    }
    await child.says('ampulla is running');
    await roundsPass(10);
    clearInterval(pacing);

    const last = () => NAMES.map((name) => counters.get(name));
    await vi.waitFor(async () => {
      await speak(false);
      expect(inBooks()).toEqual(last());
    }, IN_TIME);
    child.signal('SIGTERM');
    expect((await child.ends()).code).toBe(0);

    const booked = site.booked();
    const differences = NAMES.map((name) => (counters.get(name) ?? 0) - STARTS_AT);
    expect(Math.min(...differences)).toBeGreaterThan(0);
    expect(NAMES.map((name) => booked.get(`${name}-device`)?.counted)).toEqual(differences);
    const steady = steadyInBooks();
    const drawn = (STEADY_W * (steady.until - steadyBefore.until)) / 3_600;
    // One interval's energy a kill may be lost.
    const lost = (STEADY_W * ROUND * KILLS) / 3_600;
    expect(Math.abs(steady.energy - steadyBefore.energy - drawn)).toBeLessThanOrEqual(lost);
    expect(site.integrity()).toBe('ok');
  });
});
