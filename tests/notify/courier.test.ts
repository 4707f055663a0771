import { describe, expect, it } from 'vitest';
import type { Outcome } from '../../src/alerts/index.ts';
import type { Attempt } from '../../src/notify/index.ts';
import { DAY, HOUR, later, MINUTE, millis, SECOND } from '../../src/units/index.ts';
import { alert, channel, courierOf, DELIVERED, FAILED } from './couriers.ts';
import { delivery, gate, type KeptStore, keep, START } from './keeping.ts';

describe('the courier', () => {
  it('delivers what is due, once', async () => {
    const store = keep(delivery(), delivery({ alert: alert('p1') }));
    const kitchen = channel();
    const { courier, logger } = courierOf(store, [kitchen]);
    await courier.work();
    await courier.work();
    expect(store.states()).toEqual(['opened delivered', 'opened delivered']);
    expect(kitchen.sent).toHaveLength(2);
    expect(logger.lines).toHaveLength(2);
  });

  it('sends one at a time per channel, channels side by side, however often it is called', async () => {
    const first = gate<Outcome>();
    let inFlight = 0;
    let most = 0;
    const kitchen = channel(async () => {
      inFlight++;
      most = Math.max(most, inFlight);
      const outcome = kitchen.sent.length === 1 ? await first.passed : DELIVERED;
      inFlight--;
      return outcome;
    });
    const hall = channel(() => DELIVERED, 'webhook-hall');
    const store = keep(
      ...['a', 'b', 'c'].map((id) => delivery({ alert: alert(id) })),
      delivery({ channel: 'webhook-hall' }),
    );
    const { courier } = courierOf(store, [kitchen, hall]);
    const calls = [courier.work(), courier.work(), courier.work()];
    await Promise.resolve();
    expect(hall.sent).toHaveLength(1);
    expect(kitchen.sent).toHaveLength(1);
    store.saveDelivery(delivery({ alert: alert('late') }));
    const late = courier.work();
    first.open(DELIVERED);
    await Promise.all([...calls, late]);
    expect(most).toBe(1);
    expect(kitchen.sent).toHaveLength(4);
    expect(new Set(kitchen.sent).size).toBe(4);
    expect(store.states().every((state) => state.endsWith('delivered'))).toBe(true);
  });

  it('sends again, with the same key, what was sent but not marked before a kill', async () => {
    const store = keep(delivery());
    const never = gate<Outcome>();
    const reached = gate();
    const dying = channel(() => {
      reached.open();
      return never.passed;
    });
    void courierOf(store, [dying]).courier.work();
    await reached.passed;
    // The process ends here: the other side has the message, the mark is not written.
    const reborn = channel();
    await courierOf(store, [reborn]).courier.work();
    expect(reborn.sent).toEqual(dying.sent);
    expect(store.states()).toEqual(['opened delivered']);
    const afterwards = channel();
    await courierOf(store, [afterwards]).courier.work();
    expect(afterwards.sent).toEqual([]);
  });

  it('keeps the wait across a restart', async () => {
    const store = keep(delivery());
    await courierOf(store, [channel(() => FAILED)]).courier.work();
    const kitchen = channel();
    const { courier, clock } = courierOf(store, [kitchen]);
    clock.turn(4 * SECOND);
    await courier.work();
    expect(kitchen.sent).toEqual([]);
    clock.turn(SECOND);
    await courier.work();
    expect(kitchen.sent).toHaveLength(1);
  });

  it('gives up a message after three days, says so and counts it', async () => {
    const store = keep(delivery());
    const kitchen = channel(() => FAILED);
    const { courier, clock, logger } = courierOf(store, [kitchen]);
    while (store.states()[0] === 'opened waiting' && clock.now() < later(START, 5 * DAY)) {
      await courier.work();
      clock.turn(MINUTE);
    }
    expect(store.states()).toEqual(['opened given-up']);
    const hours = (clock.now() - START) / HOUR;
    expect(hours).toBeGreaterThan(72);
    expect(hours).toBeLessThan(73);
    expect(courier.channelHealth()).toMatchObject([{ givenUp: 1, isDown: true }]);
    expect(logger.lines.at(-1)).toMatch(/^message given up .*HTTP 500/);
  });

  it('never gives up a state', async () => {
    const store = keep(delivery({ channel: 'mqtt', attempts: 500 }));
    const { courier, clock } = courierOf(store, [channel(() => FAILED, 'mqtt', 'states')]);
    await courier.work();
    expect([...store.rows.values()][0]).toMatchObject({
      state: 'waiting',
      due: later(clock.now(), 15 * MINUTE),
    });
  });

  it('does not let a later trouble of the same watch and subject overtake an earlier one', async () => {
    const second = alert('h', '2026-11-25T12:00:00.000Z');
    const store = keep(
      delivery({ alert: second, created: later(START, 3 * HOUR), due: START }),
      delivery({ alert: alert('h'), change: 'closed', created: later(START, HOUR), due: START }),
      delivery({ alert: alert('other') }),
    );
    let works = false;
    const kitchen = channel(({ alert: of }) =>
      works || of.includes('other') ? DELIVERED : FAILED,
    );
    const { courier, clock } = courierOf(store, [kitchen]);
    await courier.work();
    await courier.work();
    clock.turn(SECOND);
    await courier.work();
    expect(kitchen.sent).toEqual([
      `${alert('other')}/opened/webhook-kitchen`,
      `${alert('h')}/closed/webhook-kitchen`,
    ]);
    works = true;
    kitchen.sent.length = 0;
    clock.turn(10 * SECOND);
    await courier.work();
    expect(kitchen.sent).toEqual([
      `${alert('h')}/closed/webhook-kitchen`,
      `${second}/opened/webhook-kitchen`,
    ]);
  });

  it('lets the others through where one message is refused or keeps failing', async () => {
    const bad = delivery({ alert: alert('bad') });
    const store = keep(bad, ...['x', 'y', 'z'].map((id) => delivery({ alert: alert(id) })));
    const kitchen = channel(({ id }) => (id === bad.id ? FAILED : DELIVERED));
    const { courier, clock } = courierOf(store, [kitchen]);
    for (let round = 0; round < 3; round++) {
      await courier.work();
      clock.turn(SECOND);
    }
    const states = [...store.rows.values()].map(({ state }) => state);
    expect(states).toEqual(['waiting', 'delivered', 'delivered', 'delivered']);
  });

  it('goes on after a clock that was set back', async () => {
    const store = keep(delivery({ due: later(START, 365 * DAY), attempts: 3 }));
    const kitchen = channel();
    await courierOf(store, [kitchen]).courier.work();
    expect(kitchen.sent).toHaveLength(1);
  });

  it('gives up what waits for a channel that is gone', async () => {
    const store = keep(delivery({ channel: 'webhook-sold' }));
    await courierOf(store, [channel()]).courier.work();
    expect([...store.rows.values()][0]).toMatchObject({
      state: 'given-up',
      lastError: expect.stringContaining('webhook-sold'),
    });
  });

  it('never throws, whatever the channel and the store do', async () => {
    const store = keep(delivery());
    const broken = channel(() => {
      throw new Error('secret in here');
    });
    const { courier, logger } = courierOf(store, [broken]);
    await courier.work();
    expect([...store.rows.values()][0]?.lastError).toMatch(/broke its promise/);
    expect(logger.lines.join()).not.toContain('secret');

    const full: KeptStore = {
      ...keep(delivery()),
      saveDelivery: () => {
        throw new Error('disk full');
      },
    };
    const kitchen = channel();
    const stuck = courierOf(full, [kitchen]);
    await stuck.courier.work();
    expect(kitchen.sent).toHaveLength(1);
    expect(stuck.logger.lines.join()).toContain('disk full');

    const closed: KeptStore = {
      ...keep(),
      deliveries: () => {
        throw new Error('store closed');
      },
    };
    const late = courierOf(closed, [channel()]);
    await late.courier.work();
    expect(late.logger.lines.join()).toContain('store closed');
  });

  it('does not send for ever where the store forgets its marks', async () => {
    const forgetful: KeptStore = { ...keep(delivery()), saveDelivery: () => {} };
    const kitchen = channel();
    await courierOf(forgetful, [kitchen]).courier.work();
    expect(kitchen.sent).toHaveLength(1);
  });

  it('tells an alert that came and went during an outage once, by its end', async () => {
    const store = keep(
      delivery({ attempts: 4, due: later(START, HOUR), lastError: 'HTTP 500' }),
      delivery({ change: 'worsened', created: later(START, MINUTE) }),
      delivery({ change: 'closed', created: later(START, HOUR) }),
    );
    const kitchen = channel();
    const { courier } = courierOf(store, [kitchen]);
    await courier.work();
    expect(kitchen.sent.map((id) => id.split('/').at(-2))).toEqual(['closed']);
    expect(store.states()).toEqual(['opened given-up', 'worsened given-up', 'closed delivered']);
    expect([...store.rows.values()][0]?.lastError).toMatch(/^told by .*\/closed\//);
    expect(courier.channelHealth()).toMatchObject([{ state: 'ok', givenUp: 0 }]);
  });

  it('keeps a message that tells of an alert which no newer one tells of', async () => {
    const body = JSON.stringify({ also: [{ id: alert('p2') }] });
    const store = keep(
      delivery({ body }),
      delivery({ change: 'closed', created: later(START, MINUTE) }),
    );
    const kitchen = channel();
    await courierOf(store, [kitchen]).courier.work();
    expect(kitchen.sent.map((id) => id.split('/').at(-2))).toEqual(['opened', 'closed']);
  });

  it('tries a dead channel once a minute after three failures, then sends all that waited', async () => {
    const ids = ['a', 'b', 'c', 'd', 'e'];
    const store = keep(...ids.map((id) => delivery({ alert: alert(id) })));
    let works = false;
    const kitchen = channel(() => (works ? DELIVERED : FAILED));
    const { courier, clock } = courierOf(store, [kitchen]);
    for (let second = 0; second < 63; second++) {
      await courier.work();
      clock.turn(SECOND);
    }
    expect(kitchen.sent).toHaveLength(4);
    expect(courier.channelHealth()).toEqual([
      {
        channel: 'webhook-kitchen',
        state: 'failing',
        since: START,
        failures: 4,
        lastError: 'HTTP 500',
        givenUp: 0,
        isDown: true,
      },
    ]);
    works = true;
    clock.turn(MINUTE);
    await courier.work();
    expect(store.states()).toEqual(ids.map(() => 'opened delivered'));
    expect(courier.channelHealth()).toMatchObject([{ state: 'ok', since: clock.now() }]);
  });

  it('sends after an outage also what had long to wait yet, as soon as one got through', async () => {
    const waiting = { attempts: 9, due: later(START, 14 * MINUTE), lastError: 'HTTP 500' };
    const store = keep(
      delivery({ alert: alert('a'), ...waiting }),
      delivery({ alert: alert('b'), ...waiting, attempts: 4, due: later(START, MINUTE) }),
    );
    const { courier, clock } = courierOf(store, [channel()]);
    await courier.work();
    expect(store.states()).toEqual(['opened waiting', 'opened waiting']);
    clock.turn(MINUTE);
    await courier.work();
    expect(store.states()).toEqual(['opened delivered', 'opened delivered']);
  });

  it('is down at once where waiting mends nothing, and after ten minutes otherwise', async () => {
    const login: Attempt = { kind: 'failed', why: 'AMP_NOTIFY_LOGIN', permanent: true };
    const store = keep(delivery(), delivery({ channel: 'mail-den' }));
    const { courier, clock } = courierOf(store, [
      channel(() => FAILED),
      channel(() => login, 'mail-den'),
      channel(() => DELIVERED, 'idle'),
    ]);
    await courier.work();
    const down = () => courier.channelHealth().map(({ state, isDown }) => `${state} ${isDown}`);
    expect(down()).toEqual(['failing false', 'failing true', 'untried false']);
    expect(store.states()).toEqual(['opened waiting', 'opened waiting']);
    clock.turn(10 * MINUTE);
    expect(down()[0]).toBe('failing true');
  });

  it('knows after a restart since when a channel has failed', async () => {
    const store = keep(delivery());
    await courierOf(store, [channel(() => FAILED)]).courier.work();
    const { courier } = courierOf(store, [channel()]);
    expect(courier.channelHealth()).toMatchObject([
      { state: 'failing', since: START, failures: 1, lastError: 'HTTP 500' },
    ]);
  });

  it('waits as long as the other side asks to, with every message', async () => {
    const store = keep(delivery(), delivery({ alert: alert('other') }));
    const kitchen = channel(() => ({ kind: 'failed', why: 'HTTP 429', after: millis(120_000) }));
    const { courier, clock } = courierOf(store, [kitchen]);
    await courier.work();
    clock.turn(119 * SECOND);
    await courier.work();
    expect(kitchen.sent).toHaveLength(1);
    clock.turn(SECOND);
    await courier.work();
    expect(kitchen.sent).toHaveLength(2);
  });

  it('says of a message that not everybody has it', async () => {
    const caveat = '1 of 2 recipients refused';
    const { courier, logger } = courierOf(keep(delivery()), [
      channel(() => ({ kind: 'delivered', caveat })),
    ]);
    await courier.work();
    expect(logger.lines.at(-1)).toMatch(/not to everybody .*1 of 2 recipients/);
  });
});
