import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Clock, instant, later, MINUTE } from '../../src/units/index.ts';
import { machineClock } from '../mqtt/link-under-test.ts';
import { IN_TIME, type InProcess, pageText, runCli, startHere } from './daemon.ts';
import { cabin } from './house.ts';
import { publisherTo } from './publisher.ts';
import { createSite, type Site } from './site.ts';

let site: Site;
let running: InProcess;
let now = instant(Date.UTC(2026, 1, 3, 14, 0));
const clock: Clock = { ...machineClock, now: () => now };

const page = (): string => running.daemon.page ?? '';

/** Lets the water be too warm for half an hour. */
async function warmTooLong(): Promise<void> {
  const house = await publisherTo(running.daemon.brokerPort ?? 0);
  for (let minute = 0; minute < 30; minute += 1) {
    now = later(now, MINUTE);
    const before = running.daemon.received;
    await house.publish('cabin/tide-water/temperature', '29.9');
    await vi.waitFor(() => expect(running.daemon.received).toBeGreaterThan(before), IN_TIME);
    running.daemon.tick();
  }
  await house.stop();
}

beforeEach(async () => {
  now = instant(Date.UTC(2026, 1, 3, 14, 0));
  // Readings wait a minute: what is on the disk at once was put there for the answer.
  site = createSite({ ...cabin, store: { group_time_s: 60 }, alerts: { gather_s: 0 } });
  running = await startHere(site, { clock });
  await warmTooLong();
});
afterEach(async () => {
  await running.daemon.stop();
  site.remove();
});

/** Sends the form of the page at `path` that does `doing`, as a browser would. */
async function press(path: string, doing: string, more: Record<string, string> = {}) {
  const shown = await (await fetch(`${page()}${path}`)).text();
  const form = shown
    .split('<form ')
    .find((part) => part.includes(`name="do" value="${doing}"`))
    ?.split('</form>')[0];
  expect(form, `a form on /${path} that does ${doing}`).toBeDefined();
  const fields = [...(form ?? '').matchAll(/type="hidden" name="(\w+)" value="([^"]*)"/g)];
  const body = new URLSearchParams({
    ...Object.fromEntries(fields.map(([, name, value]) => [name, value])),
    ...more,
  });
  const { origin } = new URL(page());
  return fetch(`${page()}requests`, { method: 'POST', body, headers: { origin } });
}

const textOf = async (answer: Response): Promise<string> =>
  (await answer.text()).replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

const stored = () =>
  site.read((books) => books.alerts()).find(({ watch }) => watch === 'tank-too-warm');

describe('a keeper at the page', () => {
  it('acknowledges: it is on the disk before the page says so, for the command too, and stays over a restart', async () => {
    expect(await pageText(page())).toContain('1 critical alert');
    const answer = await press('', 'acknowledge');
    expect(stored()?.state).toBe('acknowledged');
    expect([answer.status, new URL(answer.url).pathname]).toEqual([200, '/']);
    const told = await textOf(answer);
    expect(told).toMatch(/Done: ‘[^’]*Tide pool[^’]*’ is acknowledged\./);
    expect(told).toContain('critical, acknowledged');

    const listed = await runCli('alerts', site.file).ends();
    expect(listed).toMatchObject({ code: 0, stderr: '' });
    expect(listed.stdout).toMatch(/critical, acknowledged: .*Tide pool/);

    await running.daemon.stop();
    running = await startHere(site, { clock });
    expect(await pageText(page())).toMatch(/1 acknowledged .*critical, acknowledged/);
    expect(stored()?.state).toBe('acknowledged');
  });

  it('snoozes on the page of the alert, until when the room says', async () => {
    const id = stored()?.id ?? (await idOnPage());
    const answer = await press(`alerts/${id}`, 'snooze', { for: '120' });
    const told = await textOf(answer);
    expect(told).toMatch(/Done: ‘[^’]*Tide pool[^’]*’ is silent until /);
    expect(told).toContain('critical, snoozed');
    // 14:30 UTC and two hours are 1:00 p.m. in St. John’s, half an hour off (IANA tz database).
    expect(told).toContain('Snoozed until 1:00 p.m.');
    await running.daemon.stop();
    running = await startHere(site, { clock });
    expect(await pageText(page())).toContain('Snoozed until 1:00 p.m.');
    now = later(now, 121 * MINUTE);
    expect(await pageText(page())).not.toContain('snoozed');
  });

  it('tends a tank for the minutes that are chosen, over a restart, until it is ended', async () => {
    const answer = await press('tanks/tide-pool/tending', 'begin-tending', { minutes: '90' });
    const told = await textOf(answer);
    expect(told).toContain('Done: ‘Tide pool’ is being tended until 12:30 p.m.; too much heat');
    expect(told).toContain('being tended until 12:30 p.m.; begun 11:00 a.m. on the page');
    // Too much heat is told all the same.
    expect(told).toContain('1 critical alert');
    await running.daemon.stop();
    running = await startHere(site, { clock });
    expect(await textOf(await press('', 'end-tending'))).toContain(
      'Done: ‘Tide pool’ is watched again.',
    );
    expect(await pageText(page())).not.toContain('being tended');
  });

  it('is told when an alert is over that the page still shows', async () => {
    const { origin } = new URL(page());
    const shown = await (await fetch(page())).text();
    const [, token = ''] = /name="token" value="([^"]*)"/.exec(shown) ?? [];
    const alert = 'tank-too-warm:tank/tide-pool:2026-01-01T00:00:00.000Z';
    const body = new URLSearchParams({ token, do: 'acknowledge', alert });
    const answer = await fetch(`${page()}requests`, { method: 'POST', body, headers: { origin } });
    expect(answer.status).toBe(404);
    expect(await textOf(answer)).toContain('AMP_ALERTS_NOT_OPEN');
    expect(await pageText(page())).toContain('1 critical alert');
  });
});

async function idOnPage(): Promise<string> {
  const [, id = ''] = /href="\/alerts\/([^"]+)"/.exec(await (await fetch(page())).text()) ?? [];
  return id;
}
