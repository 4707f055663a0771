import type { FastifyInstance } from 'fastify';
import { createAllowance } from './allowance.ts';
import type { Answers } from './answers.ts';
import { type PageAnswer, type PageRequest, readForm } from './asking.ts';
import { type FormToken, isFromOwnPage } from './own-page.ts';
import { refuse } from './replies.tsx';
import { SAID } from './said.tsx';

/** Larger than any form of the page. */
export const MOST_BYTES = 4096;

/** A keeper presses a few buttons; what presses more is none. */
const AT_ONCE = 30;
const ONE_MORE_MS = 2_000;

/** Codes that say that what was asked about is not there. */
const NOT_THERE = new Set(['AMP_ALERTS_NOT_OPEN', 'AMP_APP_TANK']);

const NOT_OURS = [
  'This did not come from a page of this server, or that page was opened before ampulla was started anew. Nothing was changed.',
  'Open the room anew and ask again.',
];

/** Takes the forms of the page: asks, and leads back to the room, which tells the answer. */
export function takeRequests(
  server: FastifyInstance,
  parts: {
    token: FormToken;
    answers: Answers;
    ask: (request: PageRequest) => PageAnswer;
    untilMorning: () => number;
  },
): void {
  const { token, answers, ask, untilMorning } = parts;
  const allowance = createAllowance(AT_ONCE, ONE_MORE_MS, () => performance.now());

  server.removeAllContentTypeParsers();
  server.addContentTypeParser(
    'application/x-www-form-urlencoded',
    { parseAs: 'string' },
    async (_request: unknown, body: string) => new URLSearchParams(body),
  );

  server.post('/requests', {
    // Before the body is read: what is not ours costs nothing.
    onRequest: async (request, reply) => {
      if (!isFromOwnPage(request.headers)) await refuse(reply, 403, 'Not from this page', NOT_OURS);
    },
    handler: async (request, reply) => {
      const form = request.body instanceof URLSearchParams ? request.body : new URLSearchParams();
      if (!token.fits(form.get('token') ?? '')) {
        await refuse(reply, 403, 'Not from this page', NOT_OURS);
        return;
      }
      if (!allowance.take()) {
        reply.header('retry-after', ONE_MORE_MS / 1000);
        await refuse(reply, 429, 'Too many requests', [
          'More was asked than a keeper asks. Nothing was changed. Wait a little and ask again.',
        ]);
        return;
      }
      const asked = readForm(form, untilMorning);
      if (typeof asked === 'string') {
        await refuse(reply, 400, 'Not understood', [`${asked} Nothing was changed.`]);
        return;
      }
      const answer = ask(asked);
      if (answer.code !== undefined && NOT_THERE.has(answer.code)) {
        await refuse(reply, 404, 'Not there', [answer.words]);
        return;
      }
      await reply.redirect(`/?${SAID}=${answers.keep(answer)}#${SAID}`, 303);
    },
  });
}
