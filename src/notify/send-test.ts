import type { AlertText, Delivery } from '../alerts/index.ts';
import type { Instant } from '../units/index.ts';
import type { Attempt, Channel } from './channel.ts';

/**
 * Sends one message that says that it is a test, directly: nothing is kept, nothing tried again.
 * Where states stand, it stands as an alert that is over.
 */
export function sendTest(channel: Channel, site: TestSite, now: Instant): Promise<Attempt> {
  const at = new Date(now).toISOString();
  const alert = `test:site/${site.id}:${at}`;
  const delivery: Delivery = {
    id: `${alert}/closed/${channel.name}`,
    alert,
    change: 'closed',
    channel: channel.name,
    body: JSON.stringify(bodyOf(alert, site, at)),
    created: now,
    attempts: 0,
    due: now,
    state: 'waiting',
    lastError: undefined,
  };
  return channel.send(delivery);
}

export interface TestSite {
  readonly id: string;
  readonly name?: string | undefined;
}

function bodyOf(alert: string, { id, name = id }: TestSite, at: string) {
  const text: AlertText = {
    title: `This is a test of ampulla at ${name}`,
    what: 'Nothing is wrong. A keeper asked for this message to see whether alerts get through.',
    severity: 'notice',
    over: true,
    since: `Sent ${at}`,
    evidence: [],
    todo: [],
    cautions: [],
  };
  return {
    format: 1,
    change: 'closed',
    test: true,
    id: alert,
    watch: 'test',
    subject: { kind: 'site', id, name },
    place: null,
    state: 'closed',
    severity: text.severity,
    text,
    plain: [text.title, text.what, `${text.since}.`].join('\n'),
    also: [],
  };
}
