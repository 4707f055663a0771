import type { Instant, Millis } from '../units/index.ts';
import type { Finding } from '../watches/index.ts';
import type { Look } from './trouble.ts';

/** How a channel does, as its courier says. */
export interface ChannelHealth {
  readonly channel: string;
  /** Since when nothing gets through; undefined while it works or was not needed. */
  readonly failingSince: Instant | undefined;
}

export type ChannelFailedReason = 'not-delivered' | 'delivers';

/**
 * A look at each channel, to be judged together with those of the watches. The alert that comes of
 * it is told on the other channels. Waits belong to the courier: whatever it calls failing is told.
 */
export const lookAtChannels = (channels: readonly ChannelHealth[], now: Instant): Look[] =>
  channels.map(({ channel: id, failingSince }) => ({
    watch: 'channel-failed',
    subject: { kind: 'channel', id },
    finding: findingOf(failingSince, now),
  }));

const findingOf = (since: Instant | undefined, now: Instant): Finding => ({
  verdict: since === undefined ? 'quiet' : 'raised',
  severity: 'warning',
  reason: (since === undefined ? 'delivers' : 'not-delivered') satisfies ChannelFailedReason,
  confidence: 'certain',
  evidence:
    since === undefined
      ? []
      : [{ what: 'failing-for', value: Math.max(0, now - since), unit: 'ms', at: since }],
  hold: 0 as Millis,
});
