import { existsSync, mkdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe } from 'vitest';
import { startWeb, type WebServer } from '../../src/web/index.ts';
import { logBook } from '../mqtt/link-under-test.ts';

const EXECUTABLE = '/usr/bin/chromium';

const isInstalled = existsSync(EXECUTABLE);
const { AMPULLA_REQUIRE_SERVICES } = process.env;
const required = AMPULLA_REQUIRE_SERVICES === '1';

/** Skipped where Debian's chromium is not installed, unless AMPULLA_REQUIRE_SERVICES=1. */
export const describeWithBrowser = isInstalled || required ? describe : describe.skip;

/** Where pictures of pages are put. */
export const ARTIFACTS = fileURLToPath(new URL('../artifacts/', import.meta.url));

/** For all tests of a block: the pages, served, and a browser to look at them. */
export function servedInBrowser(
  pages: Pick<Parameters<typeof startWeb>[0], 'view' | 'ask'>,
  use: (browser: Browser, server: WebServer) => void,
): void {
  let browser: Browser | undefined;
  let server: WebServer | undefined;
  beforeAll(async () => {
    mkdirSync(ARTIFACTS, { recursive: true });
    server = await startWeb({ port: 0, logger: logBook().logger, ...pages });
    browser = await openBrowser();
    use(browser, server);
  });
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });
}

export function openBrowser(): Promise<Browser> {
  // Its sandbox refuses to work for root.
  const args = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  return chromium.launch({ executablePath: EXECUTABLE, args });
}

export const SIZES = { phone: { width: 390, height: 844 }, desk: { width: 1280, height: 900 } };
export type Size = keyof typeof SIZES;
export type Scheme = 'light' | 'dark';

/** A page in a profile of its own, and whatever it does that it should not. */
export async function openPage(
  browser: Browser,
  address: string,
  look: { size?: Size; scheme?: Scheme; path?: string } = {},
): Promise<{ page: Page; offenses: string[] }> {
  const page = await browser.newPage({
    viewport: SIZES[look.size ?? 'desk'],
    colorScheme: look.scheme ?? 'light',
  });
  const offenses: string[] = [];
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) offenses.push(message.text());
  });
  page.on('pageerror', (error) => offenses.push(`${error}`));
  page.on('dialog', (dialog) => offenses.push(`a dialog: ${dialog.message()}`));
  page.on('requestfailed', (request) => {
    // What was still on its way when the page was left.
    if (request.failure()?.errorText === 'net::ERR_ABORTED') return;
    offenses.push(`failed: ${request.url()}`);
  });
  page.on('request', (request) => {
    if (!request.url().startsWith(address)) offenses.push(`asked elsewhere: ${request.url()}`);
  });
  await page.goto(`${address}${look.path ?? ''}`);
  return { page, offenses };
}

/** Runs in the page: each piece of visible text with the colors it is seen in. */
export const TEXT_COLORS = `(() => {
  const background = (element) => {
    for (let at = element; at !== null; at = at.parentElement) {
      const color = getComputedStyle(at).backgroundColor;
      if (color !== 'rgba(0, 0, 0, 0)') return color;
    }
    return 'rgb(255, 255, 255)';
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const { parentElement, data } = walker.currentNode;
    const box = parentElement.getBoundingClientRect();
    if (data.trim() === '' || box.width <= 1 || box.height <= 1) continue;
    found.push({
      text: data.trim().slice(0, 40),
      color: getComputedStyle(parentElement).color,
      background: background(parentElement),
    });
  }
  return found;
})()`;

export interface TextColor {
  readonly text: string;
  readonly color: string;
  readonly background: string;
}
