import type { AlertText, Delivery } from '../alerts/index.ts';

/** What a channel needs of a stored message to put it into a form of its own. */
export interface Message {
  readonly title: string;
  readonly what: string;
  readonly since: string;
  readonly severity: AlertText['severity'];
  readonly over: boolean;
  readonly plain: string;
  readonly subject: string;
  /** The tank or room that the subject belongs to. */
  readonly place: string | undefined;
  readonly change: string;
  readonly alert: string;
  readonly key: string;
}

/** Reads back what the alerts room wrote. What is not there is told by what is. */
export function readMessage({ id, alert, change, body }: Delivery): Message {
  const told = parsed(body);
  const { text = {} } = told;
  const { title = alert, what = title, since = '', severity = 'warning', over = false } = text;
  return {
    ...{ title, what, since, severity, over, change, alert, key: id },
    plain: told.plain ?? [title, what, since].join('\n'),
    subject: told.subject?.name ?? '',
    place: told.place?.name,
  };
}

/** The alerts that a message tells of. */
export function alertsIn({ alert, body }: Delivery): string[] {
  const also = parsed(body).also ?? [];
  return [alert, ...also.flatMap(({ id }) => (id === undefined ? [] : [id]))];
}

interface Told {
  readonly text?: Partial<AlertText>;
  readonly plain?: string;
  readonly subject?: { readonly name?: string };
  readonly place?: { readonly name?: string } | null;
  readonly also?: readonly { readonly id?: string }[];
}

/** A stored body that cannot be read must not keep its message from going out. */
function parsed(body: string): Told {
  try {
    const told: unknown = JSON.parse(body);
    return typeof told === 'object' && told !== null ? told : {};
  } catch {
    return {};
  }
}
