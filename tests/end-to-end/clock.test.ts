import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { createSystemClock } from '../../src/app/clock.ts';
import { DAY, HOUR, MINUTE, SECOND } from '../../src/units/index.ts';
import { IN_TIME, type InProcess, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { type Booked, createSite, type Site } from './site.ts';

/** Where a board without a clock chip wakes up, and what time it really is. */
const WRONG = Date.UTC(2020, 0, 1);
const RIGHT = Date.UTC(2026, 2, 10, 8, 5);

let wall: number;
let ticks: number;
let site: Site;
let here: InProcess | undefined;
let publisher: Publisher;

beforeEach(async () => {
  wall = WRONG;
  ticks = 0;
  site = createSite(cabin);
  const clock = createSystemClock(
    () => wall,
    () => ticks,
  );
  here = await startHere(site, { clock });
  publisher = await publisherTo(Number(here.daemon.brokerPort));
});
afterEach(async () => {
  await publisher.stop();
  await here?.daemon.stop();
  here = undefined;
  site.remove();
});

/** What the books say in the end. */
async function atTheEnd(): Promise<Map<string, Booked>> {
  expect(here?.lines.filter(({ message }) => message.startsWith('the clock of'))).toHaveLength(1);
  await here?.daemon.stop();
  here = undefined;
  return site.booked();
}

const pass = (ms: number): void => {
  wall += ms;
  ticks += ms;
};

async function say(topic: string, payload: string): Promise<void> {
  const { daemon } = here as InProcess;
  const before = daemon.received;
  await publisher.publish(topic, payload);
  await vi.waitFor(() => expect(daemon.received).toBe(before + 1), IN_TIME);
}

/** Half a minute at 120 W on a plug that has only power, and on one that has only a counter. */
async function halfMinute(kwh: number): Promise<void> {
  for (const _ of [1, 2, 3]) {
    pass(10 * SECOND);
    await say('cabin/plug-1/power', '120');
  }
  await say('cabin/plug-2/total', `${kwh}`);
}

it.each([
  ['six years', RIGHT - WRONG],
  ['half a day', DAY / 2],
  ['two minutes', 2 * MINUTE],
])('books no power over a clock that is set %s ahead', async (_, step) => {
  await halfMinute(40);
  wall += step;
  await halfMinute(40);
  await halfMinute(40.001);
  const booked = await atTheEnd();
  const { integrated, bridged } = booked.get('tide-heater') ?? {};
  // 120 W for twice 20 s, and for the 30 s or less between the samples around the step: a wrong
  // clock would have booked up to an hour.
  expect(bridged).toBe(0);
  expect(integrated).toBeGreaterThanOrEqual((120 * 70 * SECOND) / 3_600);
  expect(integrated).toBeLessThanOrEqual((120 * 90 * SECOND) / 3_600);
  expect(booked.get('tide-pump')?.counted).toBe(1_000);
});

it('goes on counting with a clock that is set back by an hour', async () => {
  await halfMinute(40);
  wall -= HOUR;
  for (let minutes = 0; minutes < 20; minutes += 1) {
    pass(MINUTE);
    await say('cabin/plug-2/total', `${40 + minutes / 1000}`);
  }
  // For a quarter of an hour the readings might still be late ones.
  const counted = (await atTheEnd()).get('tide-pump')?.counted;
  expect(counted).toBeGreaterThanOrEqual(4_000);
  expect(counted).toBeLessThanOrEqual(19_000);
});
