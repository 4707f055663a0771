/**
 * Takes the picture of the page that the README shows, from the demo with a heater that is stuck
 * on: `node --import tsx tests/tools/picture.ts` writes docs/room.png. Needs Debian's chromium.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { openBrowser } from '../web/browser.ts';

const MAIN = fileURLToPath(new URL('../../src/main.ts', import.meta.url));
const PICTURE = fileURLToPath(new URL('../../docs/room.png', import.meta.url));
const DEMO = ['demo', '--weeks', '2', '--port', '0', '--fault', 'stuck-on:guppies-heater'];
const SIZE = { width: 1280, height: 1000 };
/** Two weeks take half a minute on two cores. */
const PATIENCE_MS = 5 * 60_000;

/** Where the demo serves its page; it says so on its standard output. */
function addressOf(demo: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    demo.stdout?.on('data', (part) => {
      said += part;
      const [address] = /http:\/\/127\.0\.0\.1:\d+\//.exec(said) ?? [];
      if (address !== undefined) resolve(address);
    });
    demo.on('exit', (code) => reject(new Error(`the demo ended with ${code}:\n${said}`)));
  });
}

/** Resolves when the weeks are read in and booked, and the stuck heater has been found. */
async function untilReady(page: Page, address: string): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  while (Date.now() < deadline) {
    await page.goto(address);
    const filling = await page.locator('#filling').count();
    const alerts = await page.locator('article.critical').count();
    const costs = (await page.locator('.figures').textContent()) ?? '';
    if (filling === 0 && alerts > 0 && !/unknown|\+/.test(costs)) return;
    await new Promise((resolve) => setTimeout(resolve, 1_000));
  }
  throw new Error('the demo has not become ready');
}

const demo = spawn(process.execPath, ['--import', 'tsx', MAIN, ...DEMO], {
  stdio: ['ignore', 'pipe', 'inherit'],
});
const browser = await openBrowser();
try {
  const address = await addressOf(demo);
  const page = await browser.newPage({ viewport: SIZE, colorScheme: 'light' });
  await untilReady(page, address);
  const card = await page.locator('.cards .card').first().boundingBox();
  if (card === null) throw new Error('the page shows no tank');
  // Down to the first row of tanks: enough to see what the page is.
  const height = Math.round(card.y + card.height + 6);
  await page.screenshot({ path: PICTURE, clip: { x: 0, y: 0, width: SIZE.width, height } });
  console.log(`wrote ${PICTURE}`);
} finally {
  await browser.close();
  demo.kill('SIGTERM');
}
