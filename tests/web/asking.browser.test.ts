import type { Browser, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { HOUR, later, MINUTE } from '../../src/units/index.ts';
import type {
  AlertView,
  PageAnswer,
  PageRequest,
  RoomView,
  WebServer,
} from '../../src/web/index.ts';
import {
  ARTIFACTS,
  describeWithBrowser,
  openPage,
  SIZES,
  servedInBrowser,
  TEXT_COLORS,
  type TextColor,
} from './browser.ts';
import { contrast } from './contrast.ts';
import { alert, HOSTILE_NAMES, NIGHT, room, tank } from './views.ts';

const STUCK = alert();
const TENDING = { since: later(NIGHT, -20 * MINUTE), until: later(NIGHT, 40 * MINUTE), by: 'page' };

describeWithBrowser('asking in a browser', () => {
  let browser: Browser;
  let server: WebServer;
  let view: RoomView = room();
  let asked: PageRequest[] = [];

  /** Does to the view what the daemon does to its alerts and tanks. */
  function attend(request: PageRequest): PageAnswer {
    asked.push(request);
    const alerts = (over: Partial<AlertView>) => view.alerts.map((one) => ({ ...one, ...over }));
    const tended = (tending: RoomView['tanks'][number]['tending']) =>
      view.tanks.map((one) => ({ ...one, tending }));
    switch (request.do) {
      case 'acknowledge':
        view = { ...view, alerts: alerts({ state: 'acknowledged', acknowledged: NIGHT }) };
        break;
      case 'snooze':
        view = {
          ...view,
          alerts: alerts({ snoozedUntil: later(NIGHT, request.minutes * MINUTE) }),
        };
        break;
      case 'begin-tending':
        view = {
          ...view,
          tanks: tended({ ...TENDING, until: later(NIGHT, request.minutes * MINUTE) }),
        };
        break;
      case 'end-tending':
        view = { ...view, tanks: tended(undefined) };
    }
    return { done: true, words: `‘Reed’ heard ${request.do}` };
  }

  servedInBrowser({ view: () => view, ask: attend }, (opened, serving) => {
    browser = opened;
    server = serving;
  });

  const focused = (page: Page): Promise<string> =>
    page.evaluate<string>('document.activeElement.textContent');

  /** Presses Tab until what is focused says so; fails when the page has been walked through. */
  async function tabTo(page: Page, text: string | RegExp): Promise<void> {
    for (let presses = 0; presses < 40; presses += 1) {
      await page.keyboard.press('Tab');
      const at = await focused(page);
      if (typeof text === 'string' ? at === text : text.test(at)) return;
    }
    throw new Error(`nothing says '${text}'`);
  }

  async function pressEnter(page: Page): Promise<void> {
    await Promise.all([page.waitForEvent('load'), page.keyboard.press('Enter')]);
  }

  it('acknowledges, snoozes and tends on a phone with nothing but keys', async () => {
    view = room({ alerts: [STUCK], tanks: [tank()] });
    asked = [];
    const { page, offenses } = await openPage(browser, server.address, { size: 'phone' });

    await tabTo(page, /^I have seen it: Heater stuck on/);
    await pressEnter(page);
    expect(asked).toEqual([{ do: 'acknowledge', alert: STUCK.id }]);
    const status = page.getByRole('status');
    expect(await status.textContent()).toBe('Done: ‘Reed’ heard acknowledge.');
    expect(await focused(page)).toBe('Done: ‘Reed’ heard acknowledge.');
    expect(await page.title()).toMatch(/^Done: ‘Reed’ heard acknowledge\. · 1 acknowledged · /);
    expect(await page.locator('.rank').first().textContent()).toBe('critical, acknowledged');

    // Told once: the same page loaded again has nothing more to say.
    await page.reload();
    expect(await status.count()).toBe(0);

    await tabTo(page, /^critical, acknowledged/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^Snooze: /);
    await pressEnter(page);
    expect(page.url()).toBe(`${server.address}alerts/${STUCK.id}`);
    expect(await page.locator('meta[http-equiv="refresh"]').count()).toBe(0);
    await tabTo(page, '2 h');
    await pressEnter(page);
    expect(asked.at(-1)).toEqual({ do: 'snooze', alert: STUCK.id, minutes: 120 });

    await tabTo(page, /^Begin tending/);
    await pressEnter(page);
    expect(await page.locator('meta[http-equiv="refresh"]').count()).toBe(0);
    await tabTo(page, '');
    await page.keyboard.press('ControlOrMeta+A');
    await page.keyboard.type('45');
    await pressEnter(page);
    expect(asked.at(-1)).toEqual({ do: 'begin-tending', tank: 'reed-pool', minutes: 45 });
    expect(await page.locator('.cards').textContent()).toContain('being tended until');

    await tabTo(page, /^End now/);
    await pressEnter(page);
    expect(asked.at(-1)).toEqual({ do: 'end-tending', tank: 'reed-pool' });
    expect(asked).toHaveLength(4);
    expect(offenses).toEqual([]);
    await page.close();
  });

  it('lets nobody send minutes that a tending cannot last', async () => {
    view = room({ tanks: [tank()] });
    asked = [];
    const { page } = await openPage(browser, server.address, { path: 'tanks/reed-pool/tending' });
    for (const minutes of ['0', '481', '']) {
      await page.getByLabel('Minutes from now').fill(minutes);
      await page.getByRole('button', { name: 'Begin tending' }).click();
      expect(await page.locator('input:invalid').count()).toBe(1);
    }
    expect(asked).toEqual([]);
    await page.close();
  });

  it('refuses a form whose page was opened before a restart, and leads back', async () => {
    view = room({ alerts: [STUCK] });
    asked = [];
    const { page } = await openPage(browser, server.address);
    await page.evaluate(`document.querySelector('[name=token]').value = 'of another process'`);
    const [answer] = await Promise.all([
      page.waitForResponse(/\/requests$/),
      page.getByRole('button', { name: /^I have seen it/ }).click(),
    ]);
    expect(answer.status()).toBe(403);
    expect(await page.locator('main').textContent()).toContain('Open the room anew and ask again.');
    await page.getByRole('link', { name: 'Back to the room' }).click();
    await page.getByRole('button', { name: /^I have seen it/ }).click();
    await page.getByRole('status').waitFor();
    expect(asked).toEqual([{ do: 'acknowledge', alert: STUCK.id }]);
    await page.close();
  });

  it('is in order on every page, in light and dark, at both sizes', async () => {
    const hostile = Object.values(HOSTILE_NAMES).join(' ').slice(0, 200);
    const told = { ...STUCK.text, title: `Heater stuck on: ${hostile}`, what: `${hostile} heats.` };
    const snoozed = { ...STUCK, snoozedUntil: later(NIGHT, 2 * HOUR) };
    const views: Record<string, [string, RoomView]> = {
      alert: [`alerts/${STUCK.id}`, room({ alerts: [STUCK] })],
      'alert-hostile': [`alerts/${STUCK.id}`, room({ alerts: [{ ...snoozed, text: told }] })],
      tending: ['tanks/reed-pool/tending', room()],
      'tending-runs': [
        'tanks/reed-pool/tending',
        room({ tanks: [tank({ name: hostile, tending: TENDING })] }),
      ],
      answered: [
        '',
        room({
          alerts: [
            snoozed,
            alert({
              title: 'Water too cold: Moss bay',
              state: 'acknowledged',
              acknowledged: NIGHT,
            }),
          ],
          tanks: [tank({ tending: TENDING }), tank({ id: 'moss-bay', name: 'Moss bay' })],
        }),
      ],
      gone: ['alerts/none', room()],
    };
    for (const size of ['phone', 'desk'] as const) {
      const { page, offenses } = await openPage(browser, server.address, { size });
      for (const [name, [path, shown]] of Object.entries(views)) {
        view = shown;
        await page.goto(`${server.address}${path}`);
        const { targets, ...seen } = await page.evaluate<{
          width: number;
          hurt: string;
          targets: number[];
        }>(`({
          width: document.documentElement.scrollWidth,
          hurt: typeof window.hurt + document.scripts.length,
          targets: [...document.querySelectorAll('button, .button, input')]
            .filter((target) => target.checkVisibility())
            .map((target) => target.getBoundingClientRect())
            .map(({ width, height }) => Math.min(width, height))
            .filter((side) => side > 0),
        })`);
        expect({ name, ...seen }).toEqual({
          name,
          width: SIZES[size].width,
          hurt: 'undefined0',
        });
        // WCAG 2.2, success criterion 2.5.8, level AA: at least 24 by 24 CSS pixels.
        for (const side of targets) expect(side).toBeGreaterThanOrEqual(24);
        expect(targets.length > 0).toBe(name !== 'gone');
        for (const scheme of ['light', 'dark'] as const) {
          await page.emulateMedia({ colorScheme: scheme });
          await page.screenshot({ path: `${ARTIFACTS}asking-${name}-${size}-${scheme}.png` });
          const texts = await page.evaluate<TextColor[]>(TEXT_COLORS);
          // WCAG 2.2, success criterion 1.4.3, level AA.
          const pale = texts.filter(({ color, background }) => contrast(color, background) < 4.5);
          expect({ name, scheme, pale }).toEqual({ name, scheme, pale: [] });
        }
      }
      // A browser counts the page that is not there as an error.
      expect(offenses).toEqual([expect.stringContaining('404')]);
      await page.close();
    }
  });
});
