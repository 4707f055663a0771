import fastify, { type FastifyError, type FastifyReply } from 'fastify';
import { CodedError, type Logger, MINUTE } from '../units/index.ts';
import { AlertPage } from './alert-page.tsx';
import { createAnswers } from './answers.ts';
import type { PageAnswer, PageRequest } from './asking.ts';
import { createFormToken } from './own-page.ts';
import { noPage, refuse, send } from './replies.tsx';
import { RoomPage } from './room-page.tsx';
import type { RoomView } from './room-view.ts';
import { SAID } from './said.tsx';
import { STYLE } from './style.ts';
import { MOST_BYTES, takeRequests } from './take-requests.ts';
import { TendingPage } from './tending-page.tsx';
import { createWords, type Words } from './words.ts';

export interface WebServer {
  readonly address: string;
  stop(): Promise<void>;
}

const HEADERS = {
  // Nothing but this server's own style and mark; no script at all.
  'content-security-policy':
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  // Not 'no-referrer': with that a browser does not say from where it sends a form.
  'referrer-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
};

function notUnderstood(reply: FastifyReply): void {
  const words = 'This request cannot be understood. The room is at /\n';
  void reply.headers(HEADERS).code(400).type('text/plain').send(words);
}

const NOTHING_READ = 'This request cannot be understood. Nothing was changed.';
const REFUSED_BODY: Readonly<Record<number, string>> = {
  413: `What was sent is longer than ${MOST_BYTES} bytes, which no form of this page is. Nothing was changed.`,
  415: 'This page takes its own forms only. Nothing was changed.',
};

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
  /** Answers when what it says is on the disk. */
  ask: (request: PageRequest) => PageAnswer;
}): Promise<WebServer> {
  const server = fastify({
    logger: false,
    forceCloseConnections: true,
    bodyLimit: MOST_BYTES,
    // An address that cannot be read gets here before any hook does.
    frameworkErrors: (_error, _request, reply) => notUnderstood(reply as FastifyReply),
  });
  const token = createFormToken();
  const answers = createAnswers();
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
    const code = error.statusCode ?? 500;
    if (error.code?.startsWith('FST_') && code < 500) {
      await refuse(reply, code, 'Not understood', [REFUSED_BODY[code] ?? NOTHING_READ]);
      return;
    }
    options.logger.error({ err: error }, 'a page could not be made');
    await reply
      .code(500)
      .type('text/plain')
      .send('The page could not be made; the log says why.\n');
  });
  server.setNotFoundHandler((_request, reply) => noPage(reply, 'There is no such page.'));

  server.get<{ Querystring: Record<string, unknown> }>('/', async (request, reply) => {
    const { query, method } = request;
    const view = options.view();
    await send(
      reply,
      <RoomPage
        view={view}
        words={wordsOf(view)}
        token={token.text}
        answer={method === 'GET' ? answers.take(query[SAID]) : undefined}
        still={'still' in query}
      />,
    );
  });
  server.get<{ Params: { '*': string } }>('/alerts/*', async (request, reply) => {
    const view = options.view();
    const alert = view.alerts.find(({ id }) => id === request.params['*']);
    if (alert === undefined) {
      await noPage(reply, 'There is no such alert now: it may be over.');
      return;
    }
    const words = wordsOf(view);
    await send(reply, <AlertPage alert={alert} view={view} words={words} token={token.text} />);
  });
  server.get<{ Params: { tank: string } }>('/tanks/:tank/tending', async (request, reply) => {
    const view = options.view();
    const tank = view.tanks.find(({ id }) => id === request.params.tank);
    if (tank === undefined) {
      await noPage(reply, 'There is no such tank.');
      return;
    }
    const words = wordsOf(view);
    await send(reply, <TendingPage tank={tank} view={view} words={words} token={token.text} />);
  });
  takeRequests(server, {
    token,
    answers,
    ask: options.ask,
    untilMorning() {
      const { morning, now } = options.view();
      return Math.ceil((morning - now) / MINUTE);
    },
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
