import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingHttpHeaders } from 'node:http';

/** Written into each form: only who can read this page can send one back. */
export interface FormToken {
  readonly text: string;
  fits(text: string): boolean;
}

export function createFormToken(): FormToken {
  const text = randomBytes(32).toString('base64url');
  const digest = digestOf(text);
  return { text, fits: (other) => timingSafeEqual(digestOf(other), digest) };
}

/** Of one length whatever came in, so that the time of comparing tells nothing. */
const digestOf = (text: string): Buffer => createHash('sha256').update(text).digest();

/**
 * Whether the browser says that a form was sent from this very address. Another site can make a
 * browser send a form here, but cannot make it lie about where it came from.
 */
export function isFromOwnPage(headers: IncomingHttpHeaders): boolean {
  const { host, origin } = headers;
  const site = headers['sec-fetch-site'];
  if (host === undefined || (site !== undefined && site !== 'same-origin')) return false;
  return origin?.toLowerCase() === `http://${host.toLowerCase()}`;
}
