import { afterEach, describe, expect, it } from 'vitest';
import { createHeartbeat, type Heartbeat } from '../../src/notify/index.ts';
import { millis } from '../../src/units/index.ts';
import { handClock, keepLog } from './keeping.ts';
import { answering, type Receiver, receiver } from './receiver.ts';

const servers: Receiver[] = [];
const hearts: Heartbeat[] = [];
afterEach(async () => {
  for (const heart of hearts.splice(0)) heart.stop();
  await Promise.all(servers.splice(0).map((server) => server.close()));
});

async function serve(...args: Parameters<typeof receiver>): Promise<Receiver> {
  const server = await receiver(...args);
  servers.push(server);
  return server;
}

/** A heart that beats every 60 ms, so that a test sees several beats. */
function beating(
  url: string,
  whatIsWrong: () => string | undefined = () => undefined,
  timeout = 10_000,
) {
  const logger = keepLog();
  const heart = createHeartbeat(
    { url, method: 'GET', every_min: 0.001 },
    {
      ...{ whatIsWrong, logger, clock: handClock(), chance: () => 0.5 },
      ...{ firstAfter: millis(1), timeout: millis(timeout) },
    },
  );
  hearts.push(heart);
  heart.start();
  return { heart, logger };
}

describe('the heartbeat', () => {
  it('calls again and again while the daemon is well, and not after its end', async () => {
    const server = await serve(answering(200));
    const { heart, logger } = beating(`${server.url}/beat/key-of-this-house`);
    await expect.poll(() => server.received.length).toBeGreaterThanOrEqual(3);
    expect(server.received[0]).toMatchObject({ method: 'GET', path: '/beat/key-of-this-house' });
    expect(logger.lines).toEqual([]);
    heart.stop();
    const { length } = server.received;
    const witness = beating(`${server.url}/witness`);
    const witnessed = () => server.received.filter(({ path }) => path === '/witness').length;
    await expect.poll(witnessed).toBeGreaterThanOrEqual(3);
    witness.heart.stop();
    // One may have been on its way when it stopped.
    const after = server.received.filter(({ path }) => path !== '/witness').length;
    expect(after - length).toBeLessThanOrEqual(1);
  });

  it('is silent while the daemon is not well, says why once, and comes back', async () => {
    const server = await serve(answering(200));
    let asked = 0;
    let wrong: string | undefined = 'the store takes nothing';
    const { logger } = beating(server.url, () => {
      asked += 1;
      return wrong;
    });
    await expect.poll(() => asked).toBeGreaterThanOrEqual(3);
    expect(server.received).toEqual([]);
    expect(logger.lines).toHaveLength(1);
    expect(logger.lines[0]).toContain('the store takes nothing');
    wrong = undefined;
    await expect.poll(() => server.received.length).toBeGreaterThanOrEqual(1);
  });

  it('logs a failure once, without the address’s key, and goes on', async () => {
    const server = await serve(answering(503));
    const { logger } = beating(`${server.url}/beat/key-of-this-house`);
    await expect.poll(() => server.received.length).toBeGreaterThanOrEqual(3);
    expect(logger.lines).toHaveLength(1);
    expect(logger.lines[0]).toContain('HTTP 503');
    expect(logger.lines[0]).not.toContain('key-of-this-house');
  });

  it('does not wait for a server that says nothing', async () => {
    const server = await serve(() => {});
    const { logger } = beating(server.url, undefined, 100);
    await expect.poll(() => logger.lines.length).toBe(1);
    expect(logger.lines[0]).toContain('no answer within 0.1 s');
    await expect.poll(() => server.received.length).toBeGreaterThanOrEqual(3);
  });

  it('refuses what is no web address', () => {
    expect(() => beating('ftp://127.0.0.1/')).toThrowError(
      expect.objectContaining({ code: 'AMP_NOTIFY_URL' }),
    );
  });
});
