import { CodedError } from '../units/index.ts';
import { IN_BRACES, type Placeholder, unknownPlaceholders, type WebhookConfig } from './config.ts';
import type { Message } from './message.ts';

export type Fill = (message: Message) => string;

const RANK = { notice: 1, warning: 2, critical: 3 } as const;

/**
 * Makes a template ready. Values are escaped by construction: a JSON template is parsed first and
 * filled in its texts, in a form each value is percent-encoded, plain text takes them as they are.
 * @throws CodedError AMP_NOTIFY_TEMPLATE
 */
export function compileTemplate(
  id: string,
  template: string,
  type: WebhookConfig['content_type'],
  pageUrl = '',
): Fill {
  const [unknown] = unknownPlaceholders(template);
  if (unknown !== undefined) throw refused(id, `does not know {${unknown}}`);
  const values = (message: Message): Values => ({
    title: message.title,
    text: message.plain,
    what: message.what,
    since: message.since,
    severity: message.severity,
    rank: String(RANK[message.severity]),
    change: message.change,
    subject: message.subject,
    alert: message.alert,
    key: message.key,
    url: pageUrl,
  });
  switch (type) {
    case 'application/json': {
      const tree = parsed(id, template);
      return (message) => JSON.stringify(filledTree(tree, values(message)));
    }
    case 'application/x-www-form-urlencoded':
      return (message) => filled(template, values(message), formValue);
    case 'text/plain':
      return (message) => filled(template, values(message), (value) => value);
  }
}

type Values = Readonly<Record<Placeholder, string>>;

const filled = (template: string, values: Values, escaped: (value: string) => string): string =>
  template.replace(IN_BRACES, (_, literal: string | undefined, word: Placeholder) =>
    literal === undefined ? escaped(values[word]) : `{${literal}}`,
  );

function filledTree(part: unknown, values: Values): unknown {
  if (part === '{rank}') return Number(values.rank);
  if (typeof part === 'string') return filled(part, values, (value) => value);
  if (Array.isArray(part)) return part.map((entry) => filledTree(entry, values));
  if (typeof part !== 'object' || part === null) return part;
  return Object.fromEntries(
    Object.entries(part).map(([key, entry]) => [key, filledTree(entry, values)]),
  );
}

/** WHATWG URL, application/x-www-form-urlencoded serializing. */
const formValue = (value: string): string => new URLSearchParams([['', value]]).toString().slice(1);

function parsed(id: string, template: string): unknown {
  try {
    return JSON.parse(template);
  } catch {
    throw refused(id, 'is no JSON');
  }
}

const refused = (id: string, why: string): CodedError =>
  new CodedError('AMP_NOTIFY_TEMPLATE', `the template of notify.webhooks.${id} ${why}`, {
    remedy: 'ampulla check tells what a template may hold',
  });
