import type { Finding, Path } from '../problem.ts';
import { entriesOf, type View } from './view.ts';

/** A webhook's address is one that a POST can go to, and its headers can be sent. */
export function checkWebhooks(view: View): Finding[] {
  return entriesOf(view.file.notify?.webhooks).flatMap(([id, { url, headers }]) => {
    const path = ['notify', 'webhooks', id];
    return [
      ...checkAddress(url, [...path, 'url']),
      ...entriesOf(headers).flatMap(([name, value]) => checkHeader(name, value, path)),
    ];
  });
}

function checkAddress(url: string | undefined, path: Path): Finding[] {
  if (url === undefined) return [];
  const parsed = URL.canParse(url) ? new URL(url) : undefined;
  if (parsed === undefined || !/^https?:$/.test(parsed.protocol)) {
    return [
      {
        code: 'AMP_CONFIG_ADDRESS',
        path,
        allowed: 'an address that begins with http:// or https://',
      },
    ];
  }
  if (parsed.username === '' && parsed.password === '') return [];
  return [
    {
      code: 'AMP_CONFIG_ADDRESS',
      path,
      found: 'an address with a user or password in it',
      allowed: 'an address without',
      remedy: 'put them into a header: authorization: ${env:NAME}',
    },
  ];
}

/** The value may be a secret: it is not told. */
function checkHeader(name: string, value: string, webhook: Path): Finding[] {
  try {
    new Headers([[name, value]]);
    return [];
  } catch {
    return [
      {
        code: 'AMP_CONFIG_HEADER',
        path: [...webhook, 'headers', name],
        found: 'a header that HTTP cannot carry',
        allowed: 'a plain name, and a value in one line of Latin-1 characters',
      },
    ];
  }
}
