import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { type EmbeddedBroker, startEmbeddedBroker } from '../../src/mqtt/index.ts';
import { type Clock, instant, later, MINUTE } from '../../src/units/index.ts';
import { logBook, machineClock } from '../mqtt/link-under-test.ts';
import { answering, type Receiver, receiver } from '../notify/receiver.ts';
import { IN_TIME, type InProcess, pageText, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

const TOPIC = 'ampulla/tern-cabin/alerts/heater-stuck-on/device/tide-heater';
const START = instant(Date.UTC(2026, 1, 3, 14, 0));

/** What is told of an alert, as docs/alerts.md describes it; the parts that this test reads. */
interface Told {
  readonly id: string;
  readonly change: string;
  readonly watch: string;
  readonly state: string;
  readonly since: string;
  readonly subject: { readonly kind: string; readonly id: string; readonly name: string };
  readonly text: {
    readonly title: string;
    readonly what: string;
    readonly since: string;
    readonly evidence: readonly string[];
    readonly todo: readonly string[];
    readonly cautions: readonly string[];
  };
  readonly plain: string;
}

let broker: EmbeddedBroker;
let bell: Receiver;
let site: Site;
let house: Publisher;
let listener: Publisher;
let here: InProcess | undefined;
let now = START;
let heard: Told[];
const clock: Clock = { ...machineClock, now: () => now };

beforeEach(async () => {
  now = START;
  heard = [];
  // A broker of its own, which outlives the daemon as a keeper's does.
  broker = await startEmbeddedBroker({ port: 0, logger: logBook().logger });
  bell = await receiver(answering(204));
  site = createSite({
    ...cabin,
    broker: { kind: 'external', url: `mqtt://127.0.0.1:${broker.port}`, protocol: '3.1.1' },
    alerts: { gather_s: 0 },
    notify: { webhooks: { bell: { url: `${bell.url}/cabin` } } },
  });
  house = await publisherTo(broker.port);
  listener = await publisherTo(broker.port);
  listener.client.on('message', (_topic, payload) => heard.push(JSON.parse(`${payload}`)));
  await listener.client.subscribeAsync(TOPIC, { qos: 1 });
  here = await startHere(site, { clock });
});
afterEach(async () => {
  await here?.daemon.stop();
  here = undefined;
  await listener?.stop();
  await house?.stop();
  await broker?.stop();
  await bell?.close();
  site?.remove();
});

/** So many minutes of the house, in which heater and water are so; the watches look each half. */
async function live(minutes: number, watts: number, celsius: () => number): Promise<void> {
  for (let halves = 0; halves < 2 * minutes; halves += 1) {
    now = later(now, MINUTE / 2);
    await told(`${watts}`, celsius().toFixed(2));
    here?.daemon.tick();
  }
}

/** Repeated until it arrives: just started, the daemon may not have subscribed yet. */
async function told(watts: string, celsius: string): Promise<void> {
  const { daemon } = here as InProcess;
  const before = daemon.received;
  await house.publish('cabin/plug-1/power', watts);
  await house.publish('cabin/tide-water/temperature', celsius);
  await vi.waitFor(async () => {
    if (daemon.received >= before + 2) return;
    if (before === 0) await house.publish('cabin/tide-water/temperature', celsius);
    expect(daemon.received).toBeGreaterThanOrEqual(before + 2);
  }, IN_TIME);
}

const posted = (): Told[] => bell.received.map(({ body }) => JSON.parse(body));
const changes = (messages: readonly Told[]): string[] =>
  messages.map(({ watch, change, state }) => `${watch} ${change} ${state}`);

it('a heater that sticks is told once by MQTT and once by webhook, over a restart, until it is over', async () => {
  // A thermostat at its usual work: nothing to tell.
  for (const watts of [0, 190, 0, 190, 0, 190]) await live(5, watts, () => 24.9);
  expect(heard).toEqual([]);
  expect(bell.received).toEqual([]);

  // The water stays half a kelvin and more above the set point, and the heater draws on.
  const stuckSince = now;
  await live(9, 190, () => 25.8);
  expect(heard).toEqual([]);
  await live(6, 190, () => 25.8);
  await vi.waitFor(() => {
    expect(heard).toHaveLength(1);
    expect(bell.received).toHaveLength(1);
  }, IN_TIME);

  const [alert] = heard as [Told];
  expect(alert).toMatchObject({
    change: 'opened',
    watch: 'heater-stuck-on',
    state: 'open',
    subject: { kind: 'device', id: 'tide-heater', name: 'Tide heater' },
  });
  expect(Date.parse(alert.since) - stuckSince).toBeGreaterThanOrEqual(0);
  expect(Date.parse(alert.since) - stuckSince).toBeLessThanOrEqual(3 * MINUTE);
  const { title, what, since, evidence, todo, cautions } = alert.text;
  expect(title).toContain('Tide heater');
  expect(what).toContain('heating without need');
  // 14:30 UTC is 11:00 at the cabin: St. John's is three and a half hours behind.
  expect(since).toMatch(/^Since .*11:0[0-3] a\.m\./);
  expect(evidence.join(' ')).toMatch(/25\.8.°C.*190.W/);
  expect(todo.join(' ')).toContain('plug at the wall');
  expect(cautions.join(' ')).toMatch(/RCD|GFCI/);
  for (const part of [title, what, since, ...evidence, ...todo, ...cautions]) {
    expect(alert.plain).toContain(part);
  }
  expect(posted()[0]).toMatchObject({ id: alert.id, change: 'opened', text: alert.text });
  expect(bell.received[0]).toMatchObject({ method: 'POST', path: '/cabin' });
  expect(await pageText(String(here?.daemon.page))).toContain(title);

  // Who comes later finds it with the broker.
  const late = await publisherTo(broker.port);
  const retained = new Promise<Told>((resolve) => {
    late.client.once('message', (_topic, payload, { retain }) => {
      expect(retain).toBe(true);
      resolve(JSON.parse(`${payload}`));
    });
  });
  await late.client.subscribeAsync(TOPIC, { qos: 1 });
  expect((await retained).id).toBe(alert.id);
  await late.stop();

  await here?.daemon.stop();
  here = await startHere(site, { clock });
  await live(20, 190, () => 25.8);
  expect(changes(posted())).toEqual(['heater-stuck-on opened open']);
  expect(bell.received).toHaveLength(1);
  // The state may be put on its topic again, for a broker that lost it; it is the same alert.
  expect(new Set(heard.map(({ id, state }) => `${id} ${state}`)).size).toBe(1);
  expect(await pageText(String(here.daemon.page))).toContain(title);

  await live(30, 0, () => 25.2);
  await vi.waitFor(() => {
    expect(changes(posted())).toEqual([
      'heater-stuck-on opened open',
      'heater-stuck-on closed closed',
    ]);
    expect(heard.at(-1)).toMatchObject({ id: alert.id, state: 'closed' });
  }, IN_TIME);
  expect(await pageText(String(here.daemon.page))).toContain('No open alerts');
  await here.daemon.stop();
  here = undefined;
  expect(site.read((books) => books.alerts()).map(({ id, state }) => `${id} ${state}`)).toEqual([
    `${alert.id} closed`,
  ]);
});
