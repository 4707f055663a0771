import type { Browser } from 'playwright-core';
import { expect, it } from 'vitest';
import { DAY, later } from '../../src/units/index.ts';
import type { RoomView, WebServer } from '../../src/web/index.ts';
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
import {
  alert,
  crowdedRoom,
  emptyHouse,
  HOSTILE_NAMES,
  NIGHT,
  room,
  roomNamed,
  tank,
} from './views.ts';

const nobody = () => ({ done: false, words: 'nobody is asked here' });

/** Every hostile name at once, each in a tank, a device and an alert of its own. */
function hostileRoom(): RoomView {
  const names = Object.values(HOSTILE_NAMES);
  const rooms = names.map(roomNamed);
  const numbered = <T extends { readonly id: string }>(parts: readonly (readonly T[])[]): T[] =>
    parts.flat().map((part, index) => ({ ...part, id: `${part.id}-${index}` }));
  return {
    ...roomNamed(names.join(' ')),
    tanks: numbered(rooms.map(({ tanks }) => tanks)),
    devices: numbered(rooms.map(({ devices }) => devices)),
    rooms: numbered(rooms.map((view) => view.rooms)),
    alerts: numbered(rooms.map(({ alerts }) => alerts)),
  };
}

const VIEWS: Readonly<Record<string, () => RoomView>> = {
  quiet: () => room(),
  alarmed: () => room({ alerts: [alert()] }),
  crowded: crowdedRoom,
  hostile: hostileRoom,
  empty: emptyHouse,
};

describeWithBrowser('the page in a browser', () => {
  let browser: Browser;
  let server: WebServer;
  let view = room();

  servedInBrowser({ view: () => view, ask: nobody }, (opened, serving) => {
    browser = opened;
    server = serving;
  });

  it.each(['phone', 'desk'] as const)('on a %s is in order in every state', async (size) => {
    const { page, offenses } = await openPage(browser, server.address, { size });
    for (const [name, make] of Object.entries(VIEWS)) {
      view = make();
      await page.goto(server.address);
      const seen = await page.evaluate<{ width: number; hurt: string; scripts: number }>(`({
        width: document.documentElement.scrollWidth,
        hurt: typeof window.hurt,
        scripts: document.scripts.length + document.querySelectorAll('img, [onclick], [onload]').length,
      })`);
      expect({ name, ...seen, offenses }).toEqual({
        name,
        width: SIZES[size].width,
        hurt: 'undefined',
        scripts: 0,
        offenses: [],
      });
      for (const scheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme: scheme });
        await page.screenshot({ path: `${ARTIFACTS}room-${name}-${size}-${scheme}.png` });
        const texts = await page.evaluate<TextColor[]>(TEXT_COLORS);
        expect(texts.length).toBeGreaterThan(15);
        // WCAG 2.2, success criterion 1.4.3, level AA.
        const pale = texts.filter(({ color, background }) => contrast(color, background) < 4.5);
        expect({ name, scheme, pale }).toEqual({ name, scheme, pale: [] });
      }
    }
    await page.close();
  });

  it('shows on the first screen of a phone what is wrong and the first thing to do', async () => {
    view = room({ alerts: [alert()] });
    const { page } = await openPage(browser, server.address, { size: 'phone' });
    const step = await page.locator('article ol li').first().boundingBox();
    expect((step?.y ?? Infinity) + (step?.height ?? 0)).toBeLessThan(SIZES.phone.height);
    await page.close();
  });

  it('keeps costs and tanks within three screens of a phone, however many notices there are', async () => {
    view = crowdedRoom();
    const { page } = await openPage(browser, server.address, { size: 'phone' });
    for (const id of ['#cost', '#tanks']) {
      const box = await page.locator(id).boundingBox();
      expect(box?.y).toBeLessThan(3 * SIZES.phone.height);
    }
    // A line is a line, however long its name is.
    const lines = await page.locator('.line > summary').all();
    const heights = await Promise.all(lines.slice(0, 6).map((line) => line.boundingBox()));
    expect(heights).toHaveLength(6);
    for (const box of heights) expect(box?.height).toBeLessThan(48);
    await page.close();
  });

  it('can be walked by keyboard: past the head to the tanks, and into what is folded', async () => {
    view = crowdedRoom();
    const { page } = await openPage(browser, server.address);
    const focused = () =>
      page.evaluate<{ text: string; id: string; left: number; outline: string }>(`(() => {
        const at = document.activeElement;
        const { left } = at.getBoundingClientRect();
        return { text: at.textContent, id: at.id, left, outline: getComputedStyle(at).outlineStyle };
      })()`);
    await page.keyboard.press('Tab');
    const skip = await focused();
    expect(skip).toMatchObject({ text: 'Skip to the tanks', outline: 'solid' });
    expect(skip.left).toBeGreaterThanOrEqual(0);
    await page.keyboard.press('Enter');
    expect(await focused()).toMatchObject({ id: 'tanks' });

    await page.goto(server.address);
    await page.keyboard.press('Tab');
    await page.keyboard.press('Tab');
    expect(await focused()).toMatchObject({ text: 'hold it still' });
    for (const title of ['Heater stuck on: Reed heater (Reed pool)', 'Water too cold: Moss bay']) {
      await page.keyboard.press('Tab');
      expect(await focused()).toMatchObject({ text: `I have seen it: ${title}` });
      await page.keyboard.press('Tab');
      expect(await focused()).toMatchObject({ text: `Snooze: ${title}` });
    }
    await page.keyboard.press('Tab');
    expect(await focused()).toMatchObject({ text: 'critical Water too cold: Bay 7' });
    const told = page.locator('.line').first().locator('.what');
    expect(await told.isVisible()).toBe(false);
    await page.keyboard.press('Enter');
    expect(await told.isVisible()).toBe(true);
    await page.close();
  });

  it('renews itself although the reader has jumped to the tanks', async () => {
    view = room({ filling: { done: 0.4, until: later(NIGHT, -20 * DAY) } });
    const { page } = await openPage(browser, server.address, { path: '#tanks' });
    const [again] = await Promise.all([
      page.waitForResponse((response) => response.url().replace(/#.*/, '') === server.address, {
        timeout: 8_000,
      }),
    ]);
    expect(again.status()).toBe(200);
    await page.close();
  });

  it('keeps a name that is written from right to left, or says so, from turning its line', async () => {
    const names = ['First', 'אקווריום', '\u202Edrawkcab', 'Last'];
    view = room({
      tanks: names.map((name) => tank({ id: name, name, hasProbe: false, temperature: undefined })),
    });
    const { page } = await openPage(browser, server.address);
    const lefts = await page.evaluate<number[]>(
      `[...document.querySelectorAll('.summary bdi')].map((name) => name.getBoundingClientRect().left)`,
    );
    expect(lefts).toHaveLength(4);
    expect(lefts).toEqual([...lefts].sort((a, b) => a - b));
    await page.close();
  });

  it('prints black on white, with all that is folded', async () => {
    view = crowdedRoom();
    const { page } = await openPage(browser, server.address, { scheme: 'dark' });
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    expect(await page.evaluate(`getComputedStyle(document.body).backgroundColor`)).toBe(
      'rgb(255, 255, 255)',
    );
    const texts = await page.evaluate<TextColor[]>(TEXT_COLORS);
    expect(texts.filter(({ color, background }) => contrast(color, background) < 4.5)).toEqual([]);
    const isShown = `[...document.querySelectorAll('.what')].every((text) => text.checkVisibility())`;
    expect(await page.evaluate(isShown)).toBe(true);
    await page.emulateMedia({ media: 'screen' });
    expect(await page.evaluate(isShown)).toBe(false);
    await page.close();
  });
});
