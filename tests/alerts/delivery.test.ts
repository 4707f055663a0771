import { describe, expect, it } from 'vitest';
import { gather } from '../../src/alerts/gather.ts';
import {
  type Alert,
  createWriter,
  type Delivery,
  deliveriesFor,
  EMPTY_MEMORY,
  isDue,
  judge,
  nextAttempt,
  settle,
  type Telling,
} from '../../src/alerts/index.ts';
import { DAY, HOUR, later, MINUTE, millis, SECOND } from '../../src/units/index.ts';
import { finding, look, minutes, NIGHT } from './looks.ts';

const write = createWriter({ names: { name: () => undefined }, locale: 'en-CA', zone: 'UTC' });
const silent = (id: string) =>
  look({
    watch: 'plug-silent',
    subject: { kind: 'plug', id },
    finding: finding({ hold: minutes(0) }),
    room: 'den',
  });
const tellings = (): readonly Telling[] =>
  gather(judge(EMPTY_MEMORY, [silent('a'), silent('b')], NIGHT).news);

const CHANNELS = [
  { name: 'mqtt', takes: 'states' },
  { name: 'webhook-kitchen', takes: 'messages' },
] as const;

const planned = (): Delivery[] => deliveriesFor(tellings(), CHANNELS, write, NIGHT);
const first = (): Delivery => planned()[0] as Delivery;

describe('what has to go out', () => {
  it('is one message per event, and one state per alert', () => {
    const since = '2026-11-25T09:14:00.000Z';
    expect(planned().map(({ id, alert }) => [id, alert])).toEqual([
      [`plug-silent:plug/a:${since}/opened/mqtt`, `plug-silent:plug/a:${since}`],
      [`plug-silent:plug/b:${since}/opened/mqtt`, `plug-silent:plug/b:${since}`],
      [`plug-silent:plug/a:${since}/opened/webhook-kitchen`, `plug-silent:plug/a:${since}`],
    ]);
  });

  it('waits, due at once, and carries its complete message', () => {
    for (const delivery of planned()) {
      expect(delivery).toMatchObject({ state: 'waiting', attempts: 0, due: NIGHT, created: NIGHT });
    }
    const bodies = planned().map(({ body }) => JSON.parse(body));
    expect(bodies.map(({ also }) => also.length)).toEqual([0, 0, 1]);
    expect(bodies[2].text.title).toBe('2 plugs or probes silent in den');
    expect(bodies[1].text.title).toBe('Plug silent: b');
  });

  it('is the same again for the same telling, so that a repeated plan adds nothing', () => {
    expect(planned()).toEqual(planned());
  });

  it('is nothing without channels or tellings', () => {
    expect(deliveriesFor(tellings(), [], write, NIGHT)).toEqual([]);
    expect(deliveriesFor([], CHANNELS, write, NIGHT)).toEqual([]);
  });
});

describe('waiting between attempts', () => {
  it('doubles from 5 s up to 15 min', () => {
    const waits = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10].map((attempts) => nextAttempt(attempts));
    expect(waits.map((wait) => (wait ?? 0) / SECOND)).toEqual([
      5, 10, 20, 40, 80, 160, 320, 640, 900, 900,
    ]);
  });

  it('ends after a day', () => {
    let total = 0;
    let attempts = 1;
    for (let wait = nextAttempt(attempts); wait !== undefined; wait = nextAttempt(attempts)) {
      total += wait;
      attempts++;
    }
    expect(total).toBeGreaterThan(DAY - HOUR);
    expect(total).toBeLessThanOrEqual(DAY);
  });

  it('is at least as long as the other side asks, but an hour at most', () => {
    const failed = (after: number) =>
      settle(first(), { kind: 'failed', why: 'busy', after: millis(after) }, NIGHT, 'messages');
    expect(failed(2 * MINUTE).due).toBe(later(NIGHT, 2 * MINUTE));
    expect(failed(SECOND).due).toBe(later(NIGHT, 5 * SECOND));
    expect(failed(DAY).due).toBe(later(NIGHT, HOUR));
  });

  it('counts every attempt and keeps the last error until it is delivered', () => {
    const once = settle(first(), { kind: 'failed', why: 'HTTP 500' }, NIGHT, 'messages');
    expect(once).toMatchObject({ state: 'waiting', attempts: 1, lastError: 'HTTP 500' });
    const twice = settle(once, { kind: 'delivered' }, NIGHT, 'messages');
    expect(twice).toMatchObject({ state: 'delivered', attempts: 2, lastError: undefined });
    const refused = settle(once, { kind: 'refused', why: 'HTTP 400' }, NIGHT, 'messages');
    expect(refused).toMatchObject({ state: 'given-up', attempts: 2, lastError: 'HTTP 400' });
  });

  it('gives up messages in the end, states never', () => {
    const tired = { ...first(), attempts: 500 };
    const failed = { kind: 'failed', why: 'away' } as const;
    expect(settle(tired, failed, NIGHT, 'messages').state).toBe('given-up');
    expect(settle(tired, failed, NIGHT, 'states').state).toBe('waiting');
  });

  it('is over when due, or when the clock was set back behind it', () => {
    const due = (ahead: number) => isDue({ ...first(), due: later(NIGHT, ahead) }, NIGHT);
    expect([due(-1), due(0), due(1), due(HOUR), due(HOUR + 1)]).toEqual([
      true,
      true,
      false,
      false,
      true,
    ]);
  });
});

describe('the message of a closed alert', () => {
  it('says closed in its facts and over in its words', () => {
    const alert: Alert = {
      ...(tellings()[0] as Telling).alert,
      state: 'closed',
      closed: later(NIGHT, HOUR),
    };
    const closing = { ...(tellings()[0] as Telling), alert, also: [], change: 'closed' as const };
    const [state, message] = deliveriesFor([closing], CHANNELS, write, later(NIGHT, HOUR));
    for (const delivery of [state, message]) {
      const body = JSON.parse(delivery?.body ?? '');
      expect(body).toMatchObject({
        change: 'closed',
        state: 'closed',
        closed: '2026-11-25T10:14:00.000Z',
        text: { over: true },
      });
      expect(delivery?.id).toMatch(/\/closed\/(mqtt|webhook-kitchen)$/);
    }
  });
});
