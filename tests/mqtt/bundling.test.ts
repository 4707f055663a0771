import { connect, createServer, type Socket } from 'node:net';
import { afterEach, expect, it } from 'vitest';
import { bundleWrites } from '../../src/mqtt/embedded-broker/bundling.ts';

let close = (): void => {};
afterEach(() => close());

/** A socket that bundles, and what its other end hears. */
async function pair(): Promise<{ socket: Socket; heard(): Promise<string>; writes(): number }> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const far = connect((server.address() as { port: number }).port, '127.0.0.1');
  const socket = await new Promise<Socket>((resolve) => server.once('connection', resolve));
  close = () => {
    far.destroy();
    socket.destroy();
    server.close();
  };
  bundleWrites(socket);
  let [text, writes] = ['', 0];
  far.setEncoding('utf8').on('data', (more: string) => {
    text += more;
  });
  const ended = new Promise<string>((resolve) => far.once('end', () => resolve(text)));
  // The socket's own way out: one call is one write to the system.
  const inside = socket as unknown as Record<'_write' | '_writev', (...parts: unknown[]) => void>;
  for (const name of ['_write', '_writev'] as const) {
    const original = inside[name].bind(socket);
    inside[name] = (...parts) => {
      writes += 1;
      original(...parts);
    };
  }
  return { socket, heard: () => ended, writes: () => writes };
}

/** As mqtt-packet writes: corked around the parts of a packet. */
function packet(socket: Socket, text: string): void {
  socket.cork();
  for (const part of text) socket.write(part);
  process.nextTick(() => socket.uncork());
}

it('sends the packets of one turn in one write, in their order', async () => {
  const { socket, heard, writes } = await pair();
  for (let n = 0; n < 5; n += 1) packet(socket, `<${n}>`);
  await new Promise((resolve) => process.nextTick(resolve));
  await Promise.resolve();
  packet(socket, '<last of this turn>');
  await new Promise((resolve) => setImmediate(resolve));
  await new Promise((resolve) => setImmediate(resolve));
  expect(writes()).toBe(1);
  packet(socket, '<next turn>');
  await new Promise((resolve) => setImmediate(resolve));
  await new Promise((resolve) => setImmediate(resolve));
  expect(writes()).toBe(2);
  socket.end();
  expect(await heard()).toBe('<0><1><2><3><4><last of this turn><next turn>');
});

it('holds nothing back when the socket is ended in the same turn', async () => {
  const { socket, heard } = await pair();
  packet(socket, '<farewell>');
  socket.end();
  expect(await heard()).toBe('<farewell>');
});

it('survives a socket that is destroyed while it holds', async () => {
  const { socket } = await pair();
  packet(socket, '<lost>');
  socket.destroy();
  await new Promise((resolve) => setImmediate(resolve));
  expect(socket.destroyed).toBe(true);
});
