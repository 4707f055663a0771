import type { FastifyReply } from 'fastify';
import type { VNode } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { NoticePage } from './notice-page.tsx';

export async function send(reply: FastifyReply, page: VNode): Promise<void> {
  await reply.type('text/html; charset=utf-8').send(`<!doctype html>${renderToString(page)}`);
}

export async function refuse(
  reply: FastifyReply,
  code: number,
  title: string,
  lines: readonly string[],
): Promise<void> {
  await send(reply.code(code), <NoticePage title={title} lines={lines} />);
}

export const noPage = (reply: FastifyReply, words: string): Promise<void> =>
  refuse(reply, 404, 'Not there', [words]);
