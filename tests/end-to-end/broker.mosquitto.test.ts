import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { later, MINUTE } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import { createMosquitto, describeWithMosquitto, type Mosquitto } from '../mqtt/mosquitto.ts';
import {
  BROKER_AWAY,
  endChildren,
  IN_TIME,
  type InProcess,
  pageText,
  startChild,
  startHere,
} from './daemon.ts';
import { cabin } from './house.ts';
import { publisherTo } from './publisher.ts';
import { counterInBooks, createSite, type Site } from './site.ts';

const USER = 'cabin-daemon';
const PASSWORD = 'nine-blue-terns';

describeWithMosquitto('a daemon at a mosquitto broker', () => {
  let mosquitto: Mosquitto;
  let site: Site;
  let here: InProcess | undefined;

  beforeEach(async () => {
    mosquitto = await createMosquitto(USER, PASSWORD);
    await mosquitto.start();
    site = createSite();
    writeFileSync(join(site.folder, 'broker-password'), `${PASSWORD}\n`);
  });
  afterEach(async () => {
    await endChildren();
    await here?.daemon.stop();
    here = undefined;
    await mosquitto?.remove();
    site?.remove();
  });

  const behind = (scheme: 'mqtt' | 'mqtts') => ({
    ...cabin,
    broker: {
      kind: 'external',
      url: `${scheme}://127.0.0.1:${scheme === 'mqtt' ? mosquitto.port : mosquitto.tlsPort}`,
      user: USER,
      password: '${file:broker-password}',
      ...(scheme === 'mqtts' ? { ca_file: mosquitto.authorityFile } : {}),
    },
  });
  const say = (topic: string, payload: string) =>
    mosquitto.publish(
      ...['-p', `${mosquitto.port}`, '-u', USER, '-P', PASSWORD],
      ...['-q', '1', '-t', topic, '-m', payload],
    );
  /** Says it again and again until the daemon, which may not have subscribed yet, has booked it. */
  const sayUntilBooked = (kwh: number) =>
    vi.waitFor(async () => {
      await say('cabin/plug-1/total', `${kwh}`);
      expect(counterInBooks(site, 'plug-1')).toBe(kwh * 1e6);
    }, IN_TIME);

  it.each(['mqtt', 'mqtts'] as const)(
    'over %s books a counter of the command-line publisher exactly, and shows it on its page',
    async (scheme) => {
      site.write(behind(scheme));
      const child = startChild(site);
      const page = await child.page();
      await sayUntilBooked(31.2);
      expect(await pageText(page)).toContain('not heard yet');

      await say('cabin/plug-1/total', '31.287');
      await say('cabin/tide-water/temperature', '24.61');
      await vi.waitFor(() => {
        expect(site.booked().get('tide-heater')?.counted).toBe(87_000);
      }, IN_TIME);
      const committed = performance.now();
      await vi.waitFor(
        async () => {
          const text = await pageText(page);
          expect(text).toContain('24.6 °C');
          expect(text).toMatch(/Tide heater heater, Tide pool [^T]* 0\.087 kWh/);
        },
        { timeout: 2_000, interval: 20 },
      );
      expect(performance.now() - committed).toBeLessThan(2_000);
    },
  );

  it('stays up with a wrong password, says so, and recovers when the broker learns it', async () => {
    mosquitto.setPassword(USER, 'ten-gray-terns');
    mosquitto.reload();
    site.write(behind('mqtt'));
    const child = startChild(site);
    const page = await child.page();
    const refused = await vi.waitFor(() => {
      const found = child.lines().find(({ code }) => code === 'AMP_MQTT_REFUSED');
      expect(found).toBeDefined();
      return found;
    }, IN_TIME);
    expect(refused).toMatchObject({ remedy: 'check broker.user and broker.password' });
    expect(await pageText(page)).toMatch(BROKER_AWAY);

    mosquitto.setPassword(USER, PASSWORD);
    mosquitto.reload();
    await child.says('connected to the broker');
    await sayUntilBooked(8.4);
    expect(await pageText(page)).not.toMatch(BROKER_AWAY);
    expect(JSON.stringify(child.lines())).not.toContain(PASSWORD);
  });

  it('takes in what the broker kept while it was away, though it all comes at once', async () => {
    let ahead = 0;
    const clock = { ...machineClock, now: () => later(machineClock.now(), ahead) };
    site.write({
      ...cabin,
      broker: { kind: 'external', url: `mqtt://127.0.0.1:${mosquitto.openPort}` },
    });
    here = await startHere(site, { clock });
    const publisher = await publisherTo(mosquitto.openPort);
    const say = (wh: number) => publisher.publish('cabin/plug-1/total', `${wh / 1000}`);
    await vi.waitFor(async () => {
      await say(12_000);
      expect(counterInBooks(site, 'plug-1')).toBe(12_000_000);
    }, IN_TIME);
    // The finest step that the plug has been seen to make says little of what it will draw.
    await say(12_000.01);
    await vi.waitFor(() => expect(counterInBooks(site, 'plug-1')).toBe(12_000_010), IN_TIME);
    await here.daemon.stop();

    // 300 W, told every ten seconds for an hour and a half.
    const kept = 540;
    for (let told = 1; told <= kept; told += 1) {
      await say(12_000 + (told * 300 * 10) / 3_600);
    }
    ahead += kept * 10_000;
    here = await startHere(site, { clock });
    await vi.waitFor(() => expect(counterInBooks(site, 'plug-1')).toBe(12_450_000), IN_TIME);
    await publisher.stop();
    await here.daemon.stop();
    here = undefined;
    expect(site.booked().get('tide-heater')?.counted).toBe(450_000);
    const events = site.read((books) => books.notes()).map(({ event }) => event);
    expect(events.filter((event) => event.startsWith('leap'))).toEqual([]);
  });

  it('loses no energy and raises no alarm when its broker dies for half an hour', async () => {
    let ahead = 0;
    const clock = { ...machineClock, now: () => later(machineClock.now(), ahead) };
    const quick = { usual_interval_s: 10 };
    site.write({
      ...cabin,
      plugs: { 'plug-1': quick, 'plug-2': quick },
      probes: { 'tide-water': { tank: 'tide-pool', ...quick } },
      broker: { kind: 'external', url: `mqtt://127.0.0.1:${mosquitto.openPort}` },
    });
    here = await startHere(site, { clock });
    const { daemon } = here;
    const publisher = await publisherTo(mosquitto.openPort);
    const page = String(daemon.page);
    const total = { 'plug-1': 12.5, 'plug-2': 3.25 };
    const sayAll = async (): Promise<void> => {
      const before = daemon.received;
      await vi.waitFor(async () => {
        for (const [plug, kwh] of Object.entries(total)) {
          await publisher.publish(`cabin/${plug}/total`, `${kwh}`);
        }
        await publisher.publish('cabin/tide-water/temperature', '25');
        expect(daemon.received).toBeGreaterThanOrEqual(before + 3);
      }, IN_TIME);
      daemon.tick();
    };

    await sayAll();
    ahead += MINUTE;
    total['plug-1'] += 0.002;
    await sayAll();

    await mosquitto.stop('SIGKILL');
    await vi.waitFor(async () => {
      expect(await pageText(page)).toMatch(BROKER_AWAY);
    }, IN_TIME);
    for (let minutes = 0; minutes < 30; minutes += 1) {
      ahead += MINUTE;
      daemon.tick();
    }
    await mosquitto.start();
    await vi.waitFor(async () => {
      expect(await pageText(page)).not.toMatch(BROKER_AWAY);
    }, IN_TIME);
    // The plugs take their time to come back to the broker.
    for (let minutes = 0; minutes < 4; minutes += 1) {
      ahead += MINUTE;
      daemon.tick();
    }
    total['plug-1'] += 0.1;
    total['plug-2'] += 0.015;
    await sayAll();
    await publisher.stop();

    expect(await pageText(page)).toContain('No open alerts');
    const alerts = () => site.read((books) => books.alerts());
    expect(alerts()).toEqual([]);

    // The same silence with the broker there is told.
    ahead += 10 * MINUTE;
    daemon.tick();
    await daemon.stop();
    here = undefined;
    expect(alerts().map(({ watch }) => watch)).toContain('plug-silent');
    expect(site.booked().get('tide-heater')?.counted).toBe(102_000);
    expect(site.booked().get('tide-pump')?.counted).toBe(15_000);
  });
});
