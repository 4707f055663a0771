import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Clock, instant, later, MINUTE } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import { IN_TIME, type InProcess, runCli, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

const ROOT = 'ampulla/tern-cabin';

let site: Site;
let running: InProcess;
let house: Publisher;
let now = instant(0);
const clock: Clock = { ...machineClock, now: () => now };

beforeEach(async () => {
  // Commands ask by the machine's clock: the daemon's comes up to it while the water is too warm.
  now = instant(Date.now() - 30 * MINUTE);
  site = createSite({ ...cabin, alerts: { gather_s: 0 } });
  running = await startHere(site, { clock });
  house = await publisherTo(running.daemon.brokerPort ?? 0);
  while (now < Date.now() - MINUTE) {
    now = later(now, MINUTE);
    const before = running.daemon.received;
    await house.publish('cabin/tide-water/temperature', '29.9');
    await vi.waitFor(() => expect(running.daemon.received).toBeGreaterThan(before), IN_TIME);
    running.daemon.tick();
  }
});
afterEach(async () => {
  await house.stop();
  await running.daemon.stop();
  site.remove();
});

const stateOf = (watch: string): string | undefined =>
  site.read((books) => books.alerts()).find((alert) => alert.watch === watch)?.state;

async function run(...args: string[]): Promise<{ code: number | null; out: string; err: string }> {
  const { code, stdout, stderr } = await runCli(...args).ends();
  return { code, out: stdout, err: stderr };
}

describe('a keeper at the command line', () => {
  it('lists what is open, snoozes it, and says that it has been seen', async () => {
    await vi.waitFor(() => expect(stateOf('tank-too-warm')).toBe('open'), IN_TIME);
    const listed = await run('alerts', site.file);
    expect(listed.out).toMatch(/critical: .*Tide pool/);
    expect(listed.out).toContain('tank-too-warm:tank/tide-pool');

    const snoozed = await run('alerts', site.file, '--snooze', 'tank-too-warm', '--minutes', '30');
    expect(snoozed).toMatchObject({ code: 0, err: '' });
    expect(snoozed.out).toContain('is silent until');

    const seen = await run('alerts', site.file, '--acknowledge', 'tank-too-warm');
    expect(seen).toMatchObject({ code: 0, err: '' });
    // The answer comes when it is on the disk.
    expect(stateOf('tank-too-warm')).toBe('acknowledged');
    expect((await run('alerts', site.file)).out).toContain('critical, acknowledged: ');

    const unknown = await run('alerts', site.file, '--acknowledge', 'pump-on-fire');
    expect(unknown.err).toContain('AMP_APP_ALERT');
    expect(unknown.code).toBe(64);
  });

  it('tends a tank, and is told until when', async () => {
    const begun = await run('tending', site.file, 'tide-pool', '--minutes', '45');
    expect(begun).toMatchObject({ code: 0, err: '' });
    expect(begun.out).toContain('tide-pool is being tended until');
    const ended = await run('tending', site.file, 'tide-pool', '--end');
    expect(ended.out).toBe('tide-pool is watched again\n');
    const tooLong = await run('tending', site.file, 'tide-pool', '--minutes', '6000');
    expect(tooLong.err).toContain('AMP_ALERTS_TENDING');
    expect(tooLong.code).toBe(1);
    const elsewhere = await run('tending', site.file, 'bathtub');
    expect(elsewhere.err).toContain("there is no tank 'bathtub'");
  });
});

describe('a keeper at the broker', () => {
  it('asks in JSON and is answered, and what is no request changes nothing', async () => {
    const answers: unknown[] = [];
    house.client.on('message', (_topic, payload) => answers.push(JSON.parse(`${payload}`)));
    await house.client.subscribeAsync(`${ROOT}/answers`, { qos: 1 });
    const asks = [
      '{"do":"begin-tending","tank":"tide-pool"}',
      '{"do":"begin-tending","tank":"bathtub"}',
      '{"do":"switch-off","tank":"tide-pool"}',
      'please',
    ];
    for (const asked of asks) await house.publish(`${ROOT}/requests`, asked);
    await vi.waitFor(() => expect(answers).toHaveLength(asks.length), IN_TIME);
    expect(answers).toEqual([
      { done: true, words: expect.stringContaining('tide-pool is being tended until') },
      { done: false, words: expect.stringContaining("there is no tank 'bathtub'") },
      { done: false, words: expect.stringContaining('do is one of acknowledge') },
      { done: false, words: 'a request is a JSON object' },
    ]);
  });
});
