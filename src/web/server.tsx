import fastify, { type FastifyError, type FastifyReply } from 'fastify';
import { renderToString } from 'preact-render-to-string';
import { CodedError, type Logger } from '../units/index.ts';
import { RoomPage } from './room-page.tsx';
import type { RoomView } from './room-view.ts';
import { STYLE } from './style.ts';
import { createWords, type Words } from './words.ts';

export interface WebServer {
  readonly address: string;
  stop(): Promise<void>;
}

const HEADERS = {
  // Nothing but this server's own style and mark; no script at all.
  'content-security-policy':
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
};

function notUnderstood(reply: FastifyReply, code: number): void {
  const words = 'This request cannot be understood. The room is at /\n';
  void reply.headers(HEADERS).code(code).type('text/plain').send(words);
}

/** The places under which this server may be called; other names are another site's trick. */
const LOOPBACK_NAMES = new Set(['127.0.0.1', 'localhost', '[::1]']);

/** The organ's pore, seen from the side. */
const MARK =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><path d="M13 3h6v11a8 8 0 1 1-6 0z" fill="#2f6f8f"/></svg>';

/**
 * Serves the room page on loopback.
 * @throws CodedError AMP_WEB_PORT_TAKEN when the port cannot be opened.
 */
export async function startWeb(options: {
  port: number;
  logger: Logger;
  view: () => RoomView;
}): Promise<WebServer> {
  const server = fastify({
    logger: false,
    forceCloseConnections: true,
    // An address that cannot be read gets here before any hook does.
    frameworkErrors: (_error, _request, reply) => notUnderstood(reply as FastifyReply, 400),
  });
  let words: { readonly site: string; readonly words: Words } | undefined;

  /** Formats are made once a site, not once a page. */
  function wordsOf({ site }: RoomView): Words {
    const key = JSON.stringify(site);
    if (words?.site !== key) words = { site: key, words: createWords(site) };
    return words.words;
  }

  server.addHook('onRequest', async (request, reply) => {
    reply.headers(HEADERS);
    if (!LOOPBACK_NAMES.has(request.hostname.toLowerCase())) {
      await reply.code(421).type('text/plain').send('This page answers on loopback only.\n');
    }
  });
  server.setErrorHandler(async (error: FastifyError, _request, reply) => {
    if (error.code?.startsWith('FST_') && (error.statusCode ?? 500) < 500) {
      notUnderstood(reply, error.statusCode ?? 400);
      return;
    }
    options.logger.error({ err: error }, 'a page could not be made');
    await reply
      .code(500)
      .type('text/plain')
      .send('The page could not be made; the log says why.\n');
  });
  server.setNotFoundHandler(async (_request, reply) => {
    await reply.code(404).type('text/plain').send('There is no such page. The room is at /\n');
  });

  server.get<{ Querystring: Record<string, unknown> }>('/', async (request, reply) => {
    const view = options.view();
    const page = renderToString(
      <RoomPage view={view} words={wordsOf(view)} still={'still' in request.query} />,
    );
    await reply.type('text/html; charset=utf-8').send(`<!doctype html>${page}`);
  });
  server.get('/style.css', async (_request, reply) => {
    await reply.type('text/css; charset=utf-8').send(STYLE);
  });
  server.get('/mark.svg', async (_request, reply) => {
    await reply.type('image/svg+xml').send(MARK);
  });

  try {
    const address = await server.listen({ host: '127.0.0.1', port: options.port });
    return { address: `${address}/`, stop: () => server.close() };
  } catch (cause) {
    throw new CodedError(
      'AMP_WEB_PORT_TAKEN',
      `cannot serve the page on 127.0.0.1:${options.port}`,
      {
        remedy: 'another program may use that port: set web.port to a free one',
        cause,
      },
    );
  }
}
