import type { AlertView } from './room-view.ts';

export interface AlertOrder {
  /** Told in full. */
  readonly full: readonly AlertView[];
  /** One line each, to be opened. */
  readonly lines: readonly AlertView[];
  /** Lines behind one more fold, lest they push the room out of sight. */
  readonly folded: readonly AlertView[];
}

/** Where an alert stands with the keeper: what has been answered need not be told in full. */
export type Standing = 'open' | 'acknowledged' | 'snoozed';

export const standingOf = ({ state, snoozedUntil }: AlertView): Standing => {
  if (state === 'acknowledged') return 'acknowledged';
  return snoozedUntil === undefined ? 'open' : 'snoozed';
};

/** What a keeper takes in at once. */
const MOST_IN_FULL = 2;
const MOST_LINES = 6;

/**
 * The worst first, then what is acknowledged or snoozed, then notices; otherwise in the order given.
 * Only open alerts beyond a notice are told in full, and a critical one of them is never folded away.
 */
export function orderAlerts(alerts: readonly AlertView[]): AlertOrder {
  const sorted = [...alerts].sort((a, b) => rank(a) - rank(b));
  const full = sorted.filter(isUrgent).slice(0, MOST_IN_FULL);
  const rest = sorted.slice(full.length);
  const critical = rest.filter((alert) => isUrgent(alert) && alert.severity === 'critical').length;
  const shown = rest.length <= MOST_LINES ? rest.length : Math.max(MOST_LINES, critical);
  return { full, lines: rest.slice(0, shown), folded: rest.slice(shown) };
}

const isUrgent = (alert: AlertView): boolean =>
  standingOf(alert) === 'open' && alert.severity !== 'notice';

const SEVERITIES = ['critical', 'warning', 'notice'];

/** Even an alert that was answered weighs more than a notice, of which there can be dozens. */
const rank = (alert: AlertView): number => {
  const answered = standingOf(alert) === 'open' ? 0 : 1;
  return alert.severity === 'notice'
    ? 2 * SEVERITIES.length + answered
    : SEVERITIES.indexOf(alert.severity) + answered * SEVERITIES.length;
};
