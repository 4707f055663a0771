import type { Finding } from '../problem.ts';
import { entriesOf, type View } from './view.ts';

/** A webhook's address is one that a POST can go to, and holds no password. */
export function checkWebhooks(view: View): Finding[] {
  return entriesOf(view.file.notify?.webhooks).flatMap(([id, { url }]): Finding[] => {
    if (url === undefined) return [];
    const path = ['notify', 'webhooks', id, 'url'];
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
  });
}
