import { once } from 'node:events';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';

export interface Received {
  readonly method: string;
  readonly path: string;
  readonly headers: IncomingMessage['headers'];
  readonly body: string;
}

export interface Receiver {
  readonly url: string;
  readonly host: string;
  readonly received: Received[];
  close(): Promise<void>;
}

/** A real HTTP server on loopback that answers each request with `answer`. */
export async function receiver(
  answer: (response: ServerResponse, received: Received, count: number) => void,
): Promise<Receiver> {
  const received: Received[] = [];
  const server = createServer((request, response) => {
    const parts: Buffer[] = [];
    request.on('data', (part: Buffer) => parts.push(part));
    request.on('end', () => {
      const { method = '', url = '', headers } = request;
      const one = { method, path: url, headers, body: Buffer.concat(parts).toString() };
      received.push(one);
      answer(response, one, received.length);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}`,
    host: `127.0.0.1:${port}`,
    received,
    async close() {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}

export const answering =
  (status: number, headers: Record<string, string> = {}, body = '') =>
  (response: ServerResponse): void => {
    response.writeHead(status, headers).end(body);
  };
