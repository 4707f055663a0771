import { afterEach, expect, it, vi } from 'vitest';
import { IN_TIME, type InProcess, pageText, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { type Publisher, publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

const HOUR = 3_600_000;

let site: Site;
let running: InProcess | undefined;
let publisher: Publisher | undefined;
afterEach(async () => {
  await publisher?.stop();
  await running?.daemon.stop();
  site.remove();
});

/** The cabin on a tariff by the hour: half as much again as the market, a levy, a tenth of tax. */
const market = {
  ...cabin,
  price_feeds: {
    auction: {
      topic: 'market/day-ahead',
      series: 'hourly',
      list: '/hours',
      start: '/from',
      minutes: 60,
      price: '/eur_mwh',
      unit: 'per-mwh',
      time: { format: 'iso' },
    },
  },
  tariffs: {
    hourly: {
      valid_from: '2010-01-01',
      energy: { kind: 'slot-prices', series: 'hourly', factor: 1.5 },
      charges: [
        { name: 'Levy', per_kwh: 0.02 },
        { name: 'Tax', percent: 10 },
      ],
    },
  },
};

it('prices what is drawn by the hour that the broker told the price of, and no other', async () => {
  site = createSite(market);
  running = await startHere(site);
  const { daemon } = running;
  publisher = await publisherTo(daemon.brokerPort ?? 0);
  const page = String(daemon.page);
  expect(await pageText(page)).toContain('its price is not known');

  const hour = Math.floor(Date.now() / HOUR) * HOUR;
  const hours = [-1, 0, 1].map((offset) => ({
    from: new Date(hour + offset * HOUR).toISOString(),
    eur_mwh: 80,
  }));
  await publisher.publish('market/day-ahead', JSON.stringify({ hours }));
  // (0.08 × 1.5 + 0.02) × 1.1
  await vi.waitFor(async () => expect(await pageText(page)).toContain('$0.1540/kWh'), IN_TIME);

  await publisher.publish('market/day-ahead', '{"hours":[{"from":"soon","eur_mwh":1}]}');
  await vi.waitFor(() => {
    const refused = site.read((books) => books.refused());
    expect(refused.map(({ reason, feed, found }) => [reason, feed, found])).toEqual([
      ['bad-time', 'auction', 'soon'],
    ]);
  }, IN_TIME);
  const kept = site.read((books) =>
    books.slotPrices('hourly', { from: 0 as never, to: (hour + 9 * HOUR) as never }),
  );
  expect(kept.map(({ price }) => price)).toEqual([80_000, 80_000, 80_000]);
});
