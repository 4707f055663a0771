import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Child, endChildren, IN_TIME, pageText, startChild, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { counterInBooks, createSite, type Site } from './site.ts';

/** The cabin with another tank, a heater on a new kind of plug, and a dearer tariff. */
const grown = {
  ...cabin,
  tanks: {
    ...cabin.tanks,
    'marsh-bed': { name: 'Marsh bed', room: 'loft', volume_l: 40, keep_c: { min: 18, max: 25 } },
  },
  plugs: { ...cabin.plugs, 'plug-3': {} },
  devices: {
    ...cabin.devices,
    'marsh-lamp': {
      name: 'Marsh lamp',
      kind: 'light',
      nameplate_w: 20,
      plug: 'plug-3',
      tank: 'marsh-bed',
    },
  },
  feeds: {
    ...cabin.feeds,
    nested: {
      topic: 'marsh/{plug}/state',
      values: [{ measure: 'counter', at: '/energy/total', unit: 'Wh' }],
    },
  },
  tariffs: {
    ...cabin.tariffs,
    second: {
      name: 'Winter rate',
      valid_from: '2020-01-01',
      energy: { kind: 'flat', price_per_kwh: 0.35 },
    },
  },
};

const WITH_TWO_MISTAKES = {
  ...grown,
  devices: { ...grown.devices, 'marsh-lamp': { kind: 'light', nameplate_w: 20, plug: 'plug-9' } },
};
const IN_FORCE = 'the configuration was read again and is in force';
const REFUSED = 'the configuration was refused; the one in force stays';
const LATER = 'these changes need a restart; the configuration in force stays';

/** Counters to the last mWh. */
const counting = <House extends { feeds: object }>(house: House) => ({
  ...house,
  feeds: {
    ...house.feeds,
    counters: { topic: 'cabin/{plug}/total', values: [{ measure: 'counter', unit: 'mWh' }] },
  },
});

/** mWh a message: 720 W at the pace below. */
const RISE = 2;
const PACE = 10;

describe('a configuration that is read again', () => {
  let site: Site;
  let publisher: Publisher | undefined;

  beforeEach(() => {
    site = createSite(counting(cabin));
  });
  afterEach(async () => {
    await endChildren();
    await publisher?.stop();
    publisher = undefined;
    site.remove();
  });

  /** A plug that counts without a pause. */
  function stream(to: Publisher) {
    let total = 5_000_000;
    let published = 0;
    const going: Promise<void>[] = [];
    const timer = setInterval(() => {
      total += RISE;
      published += 1;
      going.push(to.publish('cabin/plug-1/total', `${total}`));
    }, PACE);
    return {
      /** Resolves when so many more have gone out. */
      async passes(count: number): Promise<void> {
        const until = published + count;
        await vi.waitFor(() => expect(published).toBeGreaterThanOrEqual(until), IN_TIME);
      },
      async stop() {
        clearInterval(timer);
        await Promise.all(going);
        return { published, counted: (published - 1) * RISE, total };
      },
    };
  }

  it('takes effect in the running daemon, which misses no message meanwhile', async () => {
    const { daemon, lines, fatal } = await startHere(site);
    publisher = await publisherTo(Number(daemon.brokerPort));
    const plug = stream(publisher);
    await plug.passes(10);
    for (let times = 0; times < 5; times += 1) {
      site.write(counting(times % 2 === 0 ? grown : cabin));
      expect(daemon.reload()).toBe(true);
      await plug.passes(10);
    }
    const { published, counted } = await plug.stop();
    await vi.waitFor(() => expect(daemon.received).toBeGreaterThanOrEqual(published), IN_TIME);
    expect(daemon.received).toBe(published);

    expect(await pageText(String(daemon.page))).toMatch(/Winter rate ?, \$0\.3500\/kWh/);
    for (const wh of [10, 10.5]) {
      await publisher.publish('marsh/plug-3/state', `{"energy":{"total":${wh}}}`);
    }
    await vi.waitFor(() => {
      expect(site.booked().get('marsh-lamp')?.counted).toBe(500);
    }, IN_TIME);
    expect(await pageText(String(daemon.page))).toContain('Marsh bed');
    await daemon.stop();
    expect(site.booked().get('tide-heater')?.counted).toBe(counted);
    expect(lines.filter(({ message }) => message === IN_FORCE)).toHaveLength(5);
    expect(fatal).toEqual([]);
  });

  it('gives a plug to another device without losing or doubling what it counts', async () => {
    const moved = {
      ...cabin,
      devices: {
        'tide-heater': { ...cabin.devices['tide-heater'], plug: 'plug-2' },
        'tide-pump': { ...cabin.devices['tide-pump'], plug: 'plug-1' },
      },
    };
    const { daemon } = await startHere(site);
    publisher = await publisherTo(Number(daemon.brokerPort));
    const plug = stream(publisher);
    await plug.passes(20);
    site.write(counting(moved));
    expect(daemon.reload()).toBe(true);
    await plug.passes(20);
    const { published, counted } = await plug.stop();
    await vi.waitFor(() => expect(daemon.received).toBe(published), IN_TIME);
    await daemon.stop();
    const heater = site.booked().get('tide-heater')?.counted ?? 0;
    const pump = site.booked().get('tide-pump')?.counted ?? 0;
    expect(heater).toBeGreaterThanOrEqual(19 * RISE);
    expect(pump).toBeGreaterThanOrEqual(19 * RISE);
    expect(heater + pump).toBe(counted);
  });

  describe('at SIGHUP', () => {
    let child: Child;
    let page: string;

    beforeEach(async () => {
      child = startChild(site);
      page = await child.page();
      const { port } = await child.says('the embedded broker listens');
      publisher = await publisherTo(Number(port));
    });

    const to = () => publisher as Publisher;
    const inBooks = (total: number) =>
      vi.waitFor(() => expect(counterInBooks(site, 'plug-1')).toBe(total), IN_TIME);

    it('brings a new device, plug, feed and tariff, and loses no energy of the others', async () => {
      const plug = stream(to());
      await plug.passes(20);
      site.write(counting(grown));
      child.signal('SIGHUP');
      const { changes } = await child.says(IN_FORCE);
      expect(changes).toEqual([
        { path: 'tanks.marsh-bed', change: 'added', restart: false },
        { path: 'plugs.plug-3', change: 'added', restart: false },
        { path: 'devices.marsh-lamp', change: 'added', restart: false },
        { path: 'feeds.nested', change: 'added', restart: false },
        { path: 'tariffs.second', change: 'added', restart: false },
      ]);
      await plug.passes(20);
      const { counted, total } = await plug.stop();
      await inBooks(total);
      expect(await pageText(page)).toMatch(/Winter rate.*Marsh lamp/);
      for (const wh of [10, 10.25]) {
        await to().publish('marsh/plug-3/state', `{"energy":{"total":${wh}}}`);
      }
      await vi.waitFor(() => {
        expect(site.booked().get('marsh-lamp')?.counted).toBe(250);
      }, IN_TIME);
      expect(site.booked().get('tide-heater')?.counted).toBe(counted);
    });

    it('is refused with every mistake it has, and the old one stays in force', async () => {
      const plug = stream(to());
      await plug.passes(10);
      site.write(counting(WITH_TWO_MISTAKES));
      child.signal('SIGHUP');
      const { problems } = await child.says(REFUSED);
      const told = String(problems).split('\n');
      expect(told).toHaveLength(2);
      expect(told.every((line) => line.includes('devices.marsh-lamp'))).toBe(true);
      await plug.passes(10);
      const { counted, total } = await plug.stop();
      await inBooks(total);
      expect(site.booked().get('tide-heater')?.counted).toBe(counted);
      expect(await pageText(page)).not.toContain('Marsh');

      site.write(counting(grown));
      child.signal('SIGHUP');
      await child.says(IN_FORCE);
      expect(await pageText(page)).toContain('Marsh');
    });

    it('is refused where it needs a restart, and says which part does', async () => {
      site.write({ ...counting(grown), store: { file: 'elsewhere.db', group_time_s: 0.2 } });
      child.signal('SIGHUP');
      const { changes } = await child.says(LATER);
      expect(changes).toEqual([{ path: 'store.file', change: 'changed', restart: true }]);
      expect(await pageText(page)).not.toContain('Marsh');
      for (const mwh of [700_000, 700_012]) {
        await to().publish('cabin/plug-1/total', `${mwh}`);
      }
      await vi.waitFor(() => {
        expect(site.booked().get('tide-heater')?.counted).toBe(12);
      }, IN_TIME);
    });
  });
});
