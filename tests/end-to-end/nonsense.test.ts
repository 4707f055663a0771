import { expect, it, onTestFinished, vi } from 'vitest';
import { IN_TIME, pageText, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { publisherTo } from './publisher.ts';
import { createSite } from './site.ts';

const NONSENSE = [
  '',
  ' ',
  'unavailable',
  'NaN',
  '-Infinity',
  '1e999',
  '12 apples',
  '{"total":',
  'null',
  'true',
  '\u0000',
  '\uFFFD'.repeat(40),
  '<script>alert(1)</script>',
  '9'.repeat(400),
  `${'['.repeat(5_000)}${']'.repeat(5_000)}`,
  'x'.repeat(1_000_000),
];

it('counts on to the last milliwatt-hour whatever else is sent on its topics', async () => {
  const site = createSite(cabin);
  onTestFinished(() => site.remove());
  const { daemon, lines, fatal } = await startHere(site);
  const publisher = await publisherTo(Number(daemon.brokerPort));
  const words = NONSENSE.flatMap((payload) =>
    ['cabin/plug-1/total', 'cabin/plug-1/power', 'cabin/tide-water/temperature'].map(
      (topic) => [topic, payload] as const,
    ),
  );
  await publisher.publish('cabin/plug-1/total', '40');
  for (const [index, word] of words.entries()) {
    await publisher.publish(...word);
    await publisher.publish('cabin/<b>plug/total', `${index}`);
    await publisher.publish('cabin/plug-1/total', `${40 + (index + 1) / 1e6}`);
  }
  await vi.waitFor(() => expect(daemon.received).toBe(1 + 3 * words.length), IN_TIME);
  expect(await pageText(String(daemon.page))).toContain('Tide heater');
  await publisher.stop();
  await daemon.stop();

  expect(fatal).toEqual([]);
  expect(lines.filter(({ level }) => level === 'error')).toEqual([]);
  expect(site.booked().get('tide-heater')?.counted).toBe(words.length);
  const refused = site.read((books) => books.refusals());
  expect(refused.reduce((sum, { count }) => sum + count, 0)).toBe(2 * words.length);
  expect(site.read((books) => books.notes()).map(({ event }) => event)).toEqual(['baseline']);
});
