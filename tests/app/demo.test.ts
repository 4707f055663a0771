import { existsSync, readdirSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Alert } from '../../src/alerts/index.ts';
import { openStoreReader } from '../../src/storage/index.ts';
import { SLOT } from '../../src/units/index.ts';
import { scratchFolder } from '../storage/scratch.ts';
import { built, endDemos, runDemo } from './demo-process.ts';

/** Two days: enough to learn when a thermostat switches. */
const SHORT = ['--weeks', '0.3', '--port', '0'] as const;
/** Enough that the history holds both kinds of past trouble. */
const WEEK = ['--weeks', '1', '--port', '0'] as const;
const ADDRESS = /The page: (http:\/\/127\.0\.0\.1:[1-9]\d*\/)\n/;
const LIVE = /Live now; Ctrl-C ends it\.\n/;
const FILLING = 'Past weeks are being read in';

let scratch: ReturnType<typeof scratchFolder>;

beforeEach(() => {
  scratch = scratchFolder();
});
afterEach(async () => {
  await endDemos();
  scratch.remove();
});

/** The temporary folders of demos; the compiler that runs newer sources keeps one of its own there. */
const foldersLeft = (): string[] =>
  readdirSync(scratch.path).filter((name) => name.startsWith('ampulla-'));

async function page(address: string): Promise<string> {
  const answer = await fetch(address);
  expect(answer.status).toBe(200);
  return answer.text();
}

/** The titles of the open alerts on the page. */
const alertsOn = (html: string): string[] =>
  [...html.matchAll(/<article class="card alert[^>]*>.*?<h3>(.*?)<\/h3>/gs)].map(([, title = '']) =>
    title.replace(/<[^>]*>/g, ' '),
  );

const alertsIn = (folder: string): Alert[] => {
  const books = openStoreReader({ file: join(folder, 'ampulla.db') });
  try {
    return books.alerts();
  } finally {
    books.close();
  }
};

describe('ampulla demo', { timeout: 120_000 }, () => {
  it('shows the page at once, fills it, goes live with the fault, and leaves nothing behind', async () => {
    const demo = runDemo(scratch.path, ...SHORT, '--fault', 'stuck-on:guppies-heater');
    const address = await demo.says(ADDRESS);
    // Source that is compiled on its way takes longer to start.
    expect(demo.age()).toBeLessThan(built ? 5_000 : 20_000);
    expect(await page(address)).toContain(FILLING);
    expect(await demo.says(/ {2}fault since (.*)\n/)).toMatch(/: guppies-heater stuck on$/);

    await demo.says(LIVE);
    const live = await page(address);
    expect(live).not.toContain(FILLING);
    expect(alertsOn(live)).toEqual([
      expect.stringMatching(/Heater stuck on: guppies-heater \(Guppy colony\)/),
    ]);

    const [folder = '', ...others] = foldersLeft();
    expect(others).toEqual([]);
    expect(existsSync(join(scratch.path, folder, 'ampulla.db'))).toBe(true);
    demo.signal('SIGTERM');
    expect(await demo.ends()).toBe(0);
    expect(demo.stderr).toBe('');
    expect(foldersLeft()).toEqual([]);
  });

  it('without a fault has no open alert, and past ones that were found and have closed', async () => {
    const keep = join(scratch.path, 'kept', 'books');
    const demo = runDemo(scratch.path, ...WEEK, '--keep', keep);
    const address = await demo.says(ADDRESS);
    const stuck = await demo.says(/put right since: (\S+) stuck on,/);
    const silent = await demo.says(/put right since: plug (\S+) \(\S+\) off the air,/);
    await demo.says(LIVE);
    expect(alertsOn(await page(address))).toEqual([]);
    demo.signal('SIGINT');
    expect(await demo.ends()).toBe(0);
    expect(foldersLeft()).toEqual([]);

    const alerts = alertsIn(keep);
    expect(alerts.filter(({ state }) => state !== 'closed')).toEqual([]);
    const named = alerts.map(({ watch, subject }) => `${watch} ${subject.id}`);
    expect(named).toContain(`heater-stuck-on ${stuck}`);
    expect(named).toContain(`plug-silent ${silent}`);
    for (const { opened, closed } of alerts) {
      expect(opened).toBeDefined();
      expect((closed as number) - (opened as number)).toBeGreaterThan(SLOT);
    }
    // The way of such a heater: too warm in the end, and nothing else.
    for (const { watch } of alerts) {
      expect(['heater-stuck-on', 'tank-too-warm', 'plug-silent']).toContain(watch);
    }

    const books = openStoreReader({ file: join(keep, 'ampulla.db') });
    // What the simulator sends is taken, but for what a probe says when it is broken.
    expect(books.refusals().filter(({ reason }) => reason !== 'sentinel')).toEqual([]);
    const span = books.extent();
    expect((span?.to ?? 0) - (span?.from ?? 0)).toBeGreaterThan(6 * 24 * 4 * SLOT);
    const devices = new Set([...books.entries(span as never)].map(({ device }) => device));
    books.close();
    expect(devices.size).toBeGreaterThan(40);

    const again = runDemo(scratch.path, ...SHORT, '--keep', keep);
    expect(await again.ends()).not.toBe(0);
    expect(again.stderr).toContain('AMP_DEMO_KEEP');
    expect(again.stdout).toBe('');
  });

  it('may be ended while it is still filling', async () => {
    const demo = runDemo(scratch.path, '--weeks', '20', '--port', '0');
    await demo.says(/reading in past weeks .* [1-9]\d* messages\/s/);
    demo.signal('SIGTERM');
    expect(await demo.ends()).toBe(0);
    expect(demo.stderr).toBe('');
    expect(demo.stdout).not.toContain('Live now');
    expect(foldersLeft()).toEqual([]);
  });

  it('says which option is wrong, and leaves nothing behind', async () => {
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve));
    const taken = String((other.address() as { port: number }).port);
    const wrong = [
      { args: ['--fault', 'flood'], says: ['AMP_DEMO_FAULT', 'stuck-on, dead-heater, cold-night'] },
      { args: ['--weeks', '0', '--port', taken], says: ['AMP_WEB_PORT_TAKEN', '--port 0'] },
      { args: ['--weaks', '1'], says: ['--weaks'] },
    ];
    const demos = wrong.map(({ args }) => runDemo(scratch.path, ...args));
    for (const [index, demo] of demos.entries()) {
      expect(await demo.ends()).not.toBe(0);
      for (const words of wrong[index]?.says ?? []) expect(demo.stderr).toContain(words);
      expect(demo.stderr).not.toMatch(/^\s+at /m);
      expect(demo.stdout).toBe('');
    }
    other.close();
    expect(foldersLeft()).toEqual([]);
  });
});
