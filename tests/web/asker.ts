import { type IncomingHttpHeaders, request } from 'node:http';

export interface Answer {
  readonly status: number | undefined;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

export interface Asked {
  readonly host?: string;
  readonly method?: string;
  readonly body?: string | Buffer;
  readonly headers?: Readonly<Record<string, string>>;
}

/** As a browser would ask, but with any Host, method and header. */
export function ask(port: number, path = '/', asked: Asked = {}): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request(
      {
        host: '127.0.0.1',
        port,
        path,
        method: asked.method ?? 'GET',
        headers: { host: asked.host ?? `127.0.0.1:${port}`, ...asked.headers },
      },
      (response) => {
        const parts: Buffer[] = [];
        response.on('data', (part: Buffer) => parts.push(part));
        response.on('end', () =>
          resolve({
            status: response.statusCode,
            headers: response.headers,
            body: Buffer.concat(parts).toString(),
          }),
        );
      },
    );
    sent.on('error', reject);
    sent.end(asked.body);
  });
}
