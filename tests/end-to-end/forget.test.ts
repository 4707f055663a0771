import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Clock, instant, later, MINUTE } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import { endChildren, IN_TIME, type InProcess, runCli, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site, type Tree } from './site.ts';

const ROOT = 'ampulla/tern-cabin';

let site: Site;
let running: InProcess | undefined;
let house: Publisher | undefined;
let now = instant(0);
const clock: Clock = { ...machineClock, now: () => now };

beforeEach(() => {
  // Commands ask by the machine's clock: the daemon's comes up to it.
  now = instant(Date.now() - 8 * 60 * MINUTE);
  site = createSite({ ...cabin, alerts: { gather_s: 0 } });
});
afterEach(async () => {
  await stop();
  await endChildren();
  site.remove();
});

async function start(): Promise<void> {
  running = await startHere(site, { clock });
  house = await publisherTo(running.daemon.brokerPort ?? 0);
}

async function stop(): Promise<void> {
  await house?.stop();
  await running?.daemon.stop();
  house = undefined;
  running = undefined;
}

/** Hours of a heater that switches twice in each at 24.6 and 25.4 °C, and of a pump at 28 W. */
async function live(hours: number): Promise<void> {
  const { daemon } = running as InProcess;
  for (let step = 0; step < hours * 12; step += 1) {
    now = later(now, 5 * MINUTE);
    const warm = step % 6 < 3;
    const before = daemon.received;
    await house?.publish('cabin/tide-water/temperature', (warm ? 25.4 : 24.6).toFixed(2));
    await house?.publish('cabin/plug-1/power', warm ? '0' : '190');
    await house?.publish('cabin/plug-2/power', '28');
    await vi.waitFor(() => expect(daemon.received).toBeGreaterThanOrEqual(before + 3), IN_TIME);
    daemon.tick();
  }
}

async function run(...args: string[]): Promise<{ code: number | null; out: string; err: string }> {
  const { code, stdout, stderr } = await runCli(...args).ends();
  return { code, out: stdout, err: stderr };
}

/** What the store holds of a heater and of a pump. */
const kept = () =>
  site.read((books) => ({
    heater: books.states('heat').get('heater:tide-heater') as { onPowers: number[] } | undefined,
    pump: books.states('watches').get('pump-stopped:tide-pump') as
      | { state: { usual: { slices: unknown[] } } }
      | undefined,
  }));

const withDevice = (id: 'tide-heater' | 'tide-pump', over: Tree): Tree => ({
  ...cabin,
  alerts: { gather_s: 0 },
  devices: { ...cabin.devices, [id]: { ...cabin.devices[id], ...over } },
});

describe('ampulla forget', () => {
  it('forgets what was learned of a heater, says since when, and the disk has it with the answer', async () => {
    await start();
    await live(7.9);
    const { code, out, err } = await run('forget', site.file, 'tide-heater');
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out).toMatch(
      /^forgotten: what tide-heater draws when it works \(learned since .+\); where tide-heater switches \(learned since .+\)\. It is learned anew from now on\n$/,
    );
    expect(kept().heater?.onPowers).toEqual([]);
    const again = await run('forget', site.file, 'device/tide-heater');
    expect(again.out).toBe('nothing was learned of tide-heater yet\n');

    const unknown = await run('forget', site.file, 'teapot');
    expect(unknown.code).toBe(64);
    expect(unknown.err).toContain("AMP_APP_FORGET: there is no device, tank or probe 'teapot'");
    expect(unknown.err).toContain('tank/tide-pool');
  });

  it('is asked over MQTT, too', async () => {
    await start();
    await live(7.9);
    const answers: unknown[] = [];
    house?.client.on('message', (_topic, payload) => answers.push(JSON.parse(`${payload}`)));
    await house?.client.subscribeAsync(`${ROOT}/answers`, { qos: 1 });
    const asks = [
      '{"do":"forget","device":"tide-pump"}',
      '{"do":"forget","tank":"tide-pool"}',
      '{"do":"forget","probe":"teapot"}',
      '{"do":"forget"}',
    ];
    for (const asked of asks) await house?.publish(`${ROOT}/requests`, asked);
    await vi.waitFor(() => expect(answers).toHaveLength(asks.length), IN_TIME);
    expect(answers).toEqual([
      { done: true, words: expect.stringMatching(/^forgotten: what tide-pump usually draws/) },
      { done: true, words: 'nothing was learned of tide-pool yet' },
      { done: false, words: expect.stringContaining("AMP_APP_FORGET: there is no probe 'teapot'") },
      { done: false, words: 'it names no device, probe or tank' },
    ]);
    await vi.waitFor(() => expect(kept().pump?.state.usual.slices).toEqual([]), IN_TIME);
  });
});

describe('gear that the configuration names anew', () => {
  it('is learned anew after a reload, and only that', async () => {
    await start();
    await live(5);
    site.write(withDevice('tide-heater', { nameplate_w: 100 }));
    expect(running?.daemon.reload()).toBe(true);
    expect(running?.lines.map(({ message }) => message)).toContain(
      'gear is another: what was learned of it is forgotten',
    );
    await vi.waitFor(() => expect(kept().heater?.onPowers).toEqual([]), IN_TIME);
    expect(kept().pump?.state.usual.slices.length).toBeGreaterThan(0);
  });

  it('is noticed at a start as well, and the same gear is not forgotten', async () => {
    await start();
    await live(5);
    await stop();
    expect(kept().heater?.onPowers.length).toBeGreaterThan(0);
    site.write({
      ...withDevice('tide-pump', { plug: 'plug-3' }),
      plugs: { 'plug-1': {}, 'plug-3': {} },
    });
    await start();
    await vi.waitFor(() => expect(kept().pump?.state.usual.slices).toEqual([]), IN_TIME);
    expect(kept().heater?.onPowers.length).toBeGreaterThan(0);
  });
});
