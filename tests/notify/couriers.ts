import type { Delivery, Outcome, Takes } from '../../src/alerts/index.ts';
import { type Attempt, type Channel, createCourier } from '../../src/notify/index.ts';
import { handClock, type KeptStore, keepLog } from './keeping.ts';

export const DELIVERED: Outcome = { kind: 'delivered' };
export const FAILED: Outcome = { kind: 'failed', why: 'HTTP 500' };

export function channel(
  send: (delivery: Delivery) => Attempt | Promise<Attempt> = () => DELIVERED,
  name = 'webhook-kitchen',
  takes: Takes = 'messages',
): Channel & { readonly sent: string[] } {
  const sent: string[] = [];
  return {
    name,
    takes,
    sent,
    async send(one) {
      sent.push(one.id);
      return send(one);
    },
  };
}

export function courierOf(store: KeptStore, channels: Channel[]) {
  const clock = handClock();
  const logger = keepLog();
  return { clock, logger, courier: createCourier({ channels, store, clock, logger }) };
}

export const alert = (id: string, since = '2026-11-25T09:14:00.000Z') =>
  `plug-silent:plug/${id}:${since}`;
