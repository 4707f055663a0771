import type { Instant, Millis } from '../units/index.ts';
import type { Evidence, Finding } from '../watches/index.ts';
import type { Look } from './trouble.ts';

/** How a channel fares, as far as an alert needs to know; the courier's own account fits. */
export interface ChannelFacts {
  readonly channel: string;
  readonly state: 'untried' | 'ok' | 'failing';
  /** Since when it is in this state. */
  readonly since: Instant;
  /** Failing for so long or so often that the keeper should hear of it. */
  readonly isDown: boolean;
}

export type ChannelFailedReason = 'not-delivered' | 'delivers' | 'not-known-yet';

/**
 * A look at each channel, to be judged together with those of the watches. The alert that comes of
 * it is told on the other channels.
 */
export const lookAtChannels = (channels: readonly ChannelFacts[], now: Instant): Look[] =>
  channels.map((facts) => ({
    watch: 'channel-failed',
    subject: { kind: 'channel', id: facts.channel },
    finding: findingOf(facts, now),
  }));

function findingOf({ state, since, isDown }: ChannelFacts, now: Instant): Finding {
  const value = Math.max(0, now - since);
  const failing: Evidence = { what: 'failing-for', value, unit: 'ms', at: since };
  if (isDown) return found('raised', 'not-delivered', [failing]);
  return state === 'ok' ? found('quiet', 'delivers') : found('unknown', 'not-known-yet');
}

const found = (
  verdict: Finding['verdict'],
  reason: ChannelFailedReason,
  evidence: readonly Evidence[] = [],
): Finding => ({
  verdict,
  severity: 'warning',
  reason,
  confidence: 'certain',
  evidence,
  hold: 0 as Millis,
});
