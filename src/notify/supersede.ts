import type { Delivery } from '../alerts/index.ts';
import { alertsIn } from './message.ts';

/**
 * Which of a channel's waiting messages need not go out, because newer ones that wait as well tell
 * the present state of every alert in them: after an outage 'from … to …' stands for opening and
 * closing. A summary lists what was held back; it neither replaces nor is replaced.
 *
 * `waiting` is in the order in which it would go out.
 * @returns superseded id → the id of the newest message that tells of its first alert
 */
export function superseded(waiting: readonly Delivery[]): Map<string, string> {
  const gone = new Map<string, string>();
  if (waiting.length < 2) return gone;
  /** Alert → the newest message that tells of it. */
  const told = new Map<string, string>();
  for (const delivery of [...waiting].reverse()) {
    if (delivery.change === 'summary') continue;
    const alerts = alertsIn(delivery);
    const by = told.get(delivery.alert);
    if (by !== undefined && alerts.every((alert) => told.has(alert))) gone.set(delivery.id, by);
    for (const alert of alerts) if (!told.has(alert)) told.set(alert, delivery.id);
  }
  return gone;
}
