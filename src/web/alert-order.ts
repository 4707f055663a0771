import type { AlertView } from './room-view.ts';

export interface AlertOrder {
  /** Told in full. */
  readonly full: readonly AlertView[];
  /** One line each, to be opened. */
  readonly lines: readonly AlertView[];
  /** Lines behind one more fold, lest they push the room out of sight. */
  readonly folded: readonly AlertView[];
}

/** What a keeper takes in at once. */
const MOST_IN_FULL = 2;
const MOST_LINES = 6;

/**
 * The worst first, then what is acknowledged, then notices; otherwise in the order given. Only open
 * alerts beyond a notice are told in full, and a critical one of them is never folded away.
 */
export function orderAlerts(alerts: readonly AlertView[]): AlertOrder {
  const sorted = [...alerts].sort((a, b) => rank(a) - rank(b));
  const full = sorted.filter(isUrgent).slice(0, MOST_IN_FULL);
  const rest = sorted.slice(full.length);
  const critical = rest.filter((alert) => isUrgent(alert) && alert.severity === 'critical').length;
  const shown = rest.length <= MOST_LINES ? rest.length : Math.max(MOST_LINES, critical);
  return { full, lines: rest.slice(0, shown), folded: rest.slice(shown) };
}

const isUrgent = ({ state, severity }: AlertView): boolean =>
  state !== 'acknowledged' && severity !== 'notice';

const SEVERITIES = ['critical', 'warning', 'notice'];

/** Even an acknowledged alert weighs more than a notice, of which there can be dozens. */
const rank = ({ state, severity }: AlertView): number => {
  const acknowledged = state === 'acknowledged' ? 1 : 0;
  return severity === 'notice'
    ? 2 * SEVERITIES.length + acknowledged
    : SEVERITIES.indexOf(severity) + acknowledged * SEVERITIES.length;
};
