import { Buffer } from 'node:buffer';
import { CodedError } from '../units/index.ts';

export interface Address {
  /** Without user and password. */
  readonly url: URL;
  readonly headers: Readonly<Record<string, string>>;
  /** Blots out what must not be seen, where the other side repeats it. */
  withoutSecrets(text: string): string;
}

/** Shorter than this is no secret, and blotting it out would only garble. */
const SHORTEST_SECRET = 4;

/**
 * fetch takes no user and password in an address: they become a header. No error quotes them.
 * @param where the map of the configuration that it stands in
 * @throws CodedError AMP_NOTIFY_URL, AMP_NOTIFY_HEADER
 */
export function readAddress(
  where: string,
  { url: text, headers = {} }: { url: string; headers?: Readonly<Record<string, string>> },
): Address {
  const url = URL.canParse(text) ? new URL(text) : undefined;
  if (url === undefined || !['http:', 'https:'].includes(url.protocol)) {
    throw new CodedError('AMP_NOTIFY_URL', `${where}.url is no http(s) address`, {
      remedy: 'write it as http://host/path or https://host/path',
    });
  }
  const secrets = [...Object.values(headers), url.password, url.search.slice(1)];
  const path = url.pathname.split('/').filter((part) => part.length >= 16);
  const sent: Record<string, string> & { authorization?: string } = {};
  for (const [name, value] of Object.entries(headers)) {
    refuseUnsendable(where, name, value);
    sent[name.toLowerCase()] = value;
  }
  if (url.username !== '' || url.password !== '') {
    const pair = `${decoded(url.username)}:${decoded(url.password)}`;
    const basic = Buffer.from(pair).toString('base64');
    secrets.push(decoded(url.password), basic);
    sent.authorization ??= `Basic ${basic}`;
    url.username = '';
    url.password = '';
  }
  const blots = [...secrets, ...path].filter((secret) => secret.length >= SHORTEST_SECRET);
  return {
    url,
    headers: sent,
    withoutSecrets: (said) => blots.reduce((rest, secret) => rest.replaceAll(secret, '…'), said),
  };
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

function refuseUnsendable(where: string, name: string, value: string): void {
  try {
    new Headers([[name, value]]);
  } catch {
    throw new CodedError(
      'AMP_NOTIFY_HEADER',
      `${where}.headers: '${name.slice(0, 40)}' cannot be sent as an HTTP header`,
      { remedy: 'use a plain header name, and a value in one line of Latin-1 characters' },
    );
  }
}
