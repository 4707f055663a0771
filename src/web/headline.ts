import { MINUTE, type Millis } from '../units/index.ts';
import { type Standing, standingOf } from './alert-order.ts';
import { plain } from './plain.ts';
import type { AlertView, RoomView } from './room-view.ts';
import { costText } from './sums.ts';
import type { Words } from './words.ts';

/** Longer than this without any reading at all is said at the top. */
const QUIET = 15 * MINUTE;

/** Why nothing can be said about the animals now, if so. */
export interface Blindness {
  readonly title: string;
  readonly lines: readonly string[];
}

export function blindness(view: RoomView, words: Words): Blindness | undefined {
  const { broker, lastReading, now } = view;
  if (!broker.connected) {
    return {
      title: 'No connection to the broker',
      lines: [
        `Since ${words.dateAndClock(broker.since)} nothing is heard, so nothing is watched. Look after the animals yourself.`,
        'Check that the broker runs and that this machine reaches it; the log says what was tried.',
      ],
    };
  }
  if (lastReading === undefined) {
    return {
      title: 'Nothing heard yet',
      lines: [
        'No reading has come since the start, so nothing is watched yet.',
        'If none comes: ‘ampulla listen’ shows what the broker carries and which feeds fit it.',
      ],
    };
  }
  if (now - lastReading > QUIET) {
    return {
      title: `Nothing heard for ${words.length((now - lastReading) as Millis)}`,
      lines: [
        'All plugs and probes are silent, so nothing is watched. Look after the animals yourself.',
        'Think of a power cut, the Wi-Fi, or what stands between the plugs and the broker.',
      ],
    };
  }
  return undefined;
}

/** What is wrong, in one line. */
export function headline(view: RoomView, blind: Blindness | undefined): string {
  const counts = countAlerts(view.alerts);
  const parts = [blind?.title, counts].filter((part) => part !== undefined && part !== '');
  return parts.length === 0 ? 'No open alerts' : parts.join('; ');
}

/** '1 critical alert, 43 notices, 2 acknowledged, 1 snoozed'. */
export function countAlerts(alerts: readonly AlertView[]): string {
  const those = (standing: Standing): AlertView[] =>
    alerts.filter((alert) => standingOf(alert) === standing);
  const open = those('open');
  const count = (severity: AlertView['severity'], one: string, many: string): string[] => {
    const found = open.filter((alert) => alert.severity === severity).length;
    return found === 0 ? [] : [`${found} ${found === 1 ? one : many}`];
  };
  const answered = (['acknowledged', 'snoozed'] as const).flatMap((standing) => {
    const found = those(standing).length;
    return found === 0 ? [] : [`${found} ${standing}`];
  });
  return [
    ...count('critical', 'critical alert', 'critical alerts'),
    ...count('warning', 'warning', 'warnings'),
    ...count('notice', 'notice', 'notices'),
    ...answered,
  ].join(', ');
}

/** For the tab: what is wrong, what it costs, where. */
export function pageTitle(view: RoomView, words: Words): string {
  const blind = blindness(view, words);
  const wrong = blind === undefined && view.alerts.length === 0 ? [] : [headline(view, blind)];
  return [...wrong, `${costText(view.totals.today, words)} today`, plain(view.site.name)].join(
    ' · ',
  );
}

export function asOf({ now, lastReading }: RoomView, words: Words): string {
  const time = words.dateAndClock(now);
  if (lastReading === undefined) return time;
  return `${time} · last reading ${words.moment(lastReading, now)}`;
}
