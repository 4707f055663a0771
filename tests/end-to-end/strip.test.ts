import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { SLOT } from '../../src/units/index.ts';
import { IN_TIME, type InProcess, runCli, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

const START = Date.UTC(2026, 2, 3, 12);

/** The cabin's heater and pump on one plug: what the pump leaves is the heater's. */
const onOnePlug = {
  ...cabin,
  plugs: { 'plug-1': { remainder: 'tide-heater' } },
  devices: {
    'tide-heater': cabin.devices['tide-heater'],
    'tide-pump': { ...cabin.devices['tide-pump'], plug: 'plug-1' },
  },
};

let site: Site;
let running: InProcess;
let publisher: Publisher;
let now = START;
beforeEach(async () => {
  now = START;
  site = createSite(onOnePlug);
  const clock = { now: () => now as never, monotonic: () => now as never };
  running = await startHere(site, { clock });
  publisher = await publisherTo(running.daemon.brokerPort ?? 0);
});
afterEach(async () => {
  await publisher.stop();
  await running.daemon.stop();
  site.remove();
});

async function counter(kwh: number): Promise<void> {
  const before = running.daemon.received;
  await publisher.publish('cabin/plug-1/total', String(kwh));
  await vi.waitFor(() => expect(running.daemon.received).toBeGreaterThan(before), IN_TIME);
}

it('divides what a shared plug counted: to the pump its nameplate, to the heater the rest', async () => {
  for (let hour = 0; hour <= 2; hour += 0.25) {
    now = START + hour * 4 * SLOT;
    await counter(10 + hour * 0.1);
  }
  await vi.waitFor(() => expect(site.booked().get('plug/plug-1')?.counted).toBe(200_000), IN_TIME);

  const { stdout } = await runCli(
    ...['export', site.file, 'devices', '--from', '2026-03-03', '--to', '2026-03-03'],
    ...['--format', 'ndjson'],
  ).ends();
  const rows = stdout
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line));
  const figures = rows.map(({ device, energy_wh, counted_wh, divided_wh, cost }) => [
    ...[device, energy_wh, counted_wh, divided_wh, cost],
  ]);
  // 200 Wh counted in two hours; 30 W for two hours are the pump's 60; a kilowatt-hour is 0.20.
  expect(figures).toEqual([
    ['tide-heater', 140, 140, 140, 0.028],
    ['tide-pump', 60, 60, 60, 0.012],
  ]);
});
