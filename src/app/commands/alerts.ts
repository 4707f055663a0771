import { parseArgs } from 'node:util';
import { type Alert, alertText, createWriter } from '../../alerts/index.ts';
import { type Clerk, openClerk } from '../../storage/index.ts';
import { CodedError, printable } from '../../units/index.ts';
import { alertNames } from '../alert-names.ts';
import { createSystemClock } from '../clock.ts';
import { ask } from './ask.ts';
import { type CommandBooks, commandBooks } from './command-books.ts';
import { WRONG_CONFIG } from './config-argument.ts';
import { minutesOf } from './minutes.ts';

const HOW = 'ampulla alerts FILE [--acknowledge ALERT | --snooze ALERT --minutes N]';

/** `ampulla alerts FILE`: lists what is open; acknowledges or snoozes one. */
export async function alertsCommand(args: string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      acknowledge: { type: 'string' },
      snooze: { type: 'string' },
      minutes: { type: 'string' },
    },
  });
  const books = commandBooks('alerts', positionals, HOW);
  if (books === undefined) return WRONG_CONFIG;
  const clerk = openClerk({ file: books.store });
  try {
    if (values.acknowledge !== undefined) {
      return await ask(clerk, { do: 'acknowledge', alert: idOf(clerk, values.acknowledge) });
    }
    if (values.snooze !== undefined) {
      const minutes = minutesOf(values.minutes, HOW);
      if (minutes === undefined) {
        throw new CodedError('AMP_APP_USAGE', 'a snooze needs its minutes', { remedy: HOW });
      }
      return await ask(clerk, { do: 'snooze', alert: idOf(clerk, values.snooze), minutes });
    }
    process.stdout.write(`${listing(openAlerts(clerk), books)}\n`);
    return 0;
  } finally {
    clerk.close();
  }
}

const openAlerts = (clerk: Clerk): Alert[] => clerk.alerts({ states: ['open', 'acknowledged'] });

/** An id, or a part of one that belongs to a single open alert. */
function idOf(clerk: Clerk, text: string): string {
  const open = openAlerts(clerk);
  const found = open.filter(({ id }) => id === text || id.includes(text));
  const [only, another] = found;
  if (only !== undefined && another === undefined) return only.id;
  throw new CodedError(
    'AMP_APP_ALERT',
    only === undefined
      ? `no open alert is called '${text}'`
      : `'${text}' is part of several alerts`,
    { remedy: `name one of: ${open.map(({ id }) => id).join(', ') || 'none is open'}` },
  );
}

function listing(alerts: readonly Alert[], { config, calendar }: CommandBooks): string {
  if (alerts.length === 0) return 'No open alerts.';
  const now = createSystemClock().now();
  const writer = createWriter({
    names: alertNames(config, calendar.dateAt(now)),
    locale: config.site.locale,
    zone: config.site.time_zone,
  });
  return alerts
    .map((alert) => {
      const { title, what, since } = alertText(alert, writer, now);
      const state = alert.state === 'acknowledged' ? ', acknowledged' : '';
      return [`${alert.severity}${state}: ${title}`, `  ${since}`, `  ${what}`, `  ${alert.id}`]
        .map(printable)
        .join('\n');
    })
    .join('\n\n');
}
