import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { notifyConfig, PLACEHOLDERS, unknownPlaceholders } from '../../src/notify/config.ts';

const PAGE = readFileSync(new URL('../../docs/notifications.md', import.meta.url), 'utf8');
const EXAMPLES = [...PAGE.matchAll(/```yaml\n([\s\S]*?)```/g)].map(
  ([, text = '']) => (parse(text) as { notify: unknown }).notify,
);

describe('the page on notifications', () => {
  it('shows a mail, a template and a heartbeat that the configuration takes', () => {
    const taken = EXAMPLES.map((example) => notifyConfig.parse(example));
    expect(
      taken.map(({ mail, webhooks, heartbeat }) => [
        Object.keys(mail).length,
        Object.keys(webhooks).length,
        heartbeat?.every_min,
      ]),
    ).toEqual([
      [1, 0, undefined],
      [0, 1, undefined],
      [0, 0, 5],
    ]);
    const [phone] = Object.values(taken[1]?.webhooks ?? {});
    const template = phone?.template ?? '';
    expect(unknownPlaceholders(template)).toEqual([]);
    expect(Object.keys(JSON.parse(template))).toContain('priority');
  });

  it('explains every placeholder, and no other', () => {
    const rows = [...PAGE.matchAll(/^\| `\{([a-z]+)\}` \|/gm)].map(([, word]) => word);
    expect(rows).toEqual(Object.keys(PLACEHOLDERS));
  });
});
