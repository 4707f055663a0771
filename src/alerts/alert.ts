import type { Instant } from '../units/index.ts';
import type { Evidence, Finding, Severity, Subject, WatchName } from '../watches/index.ts';

/** What can be told of: what a watch finds, and what the alerts themselves notice. */
export type AlertWatch = WatchName | 'after-tending' | 'channel-failed';

export type AlertSubject = Subject | { readonly kind: 'channel'; readonly id: string };

export type AlertState = 'pending' | 'open' | 'acknowledged' | 'closed';

/** One trouble from first suspicion to its end. */
export interface Alert {
  /** 'WATCH:KIND/ID:SINCE', SINCE in ISO 8601 UTC; the same after a restart. */
  readonly id: string;
  readonly watch: AlertWatch;
  readonly subject: AlertSubject;
  readonly state: AlertState;
  /** The worst it has been: it does not fall while the alert lives. */
  readonly severity: Severity;
  readonly confidence: Finding['confidence'];
  readonly reason: string;
  readonly evidence: readonly Evidence[];
  /** When the watch first raised it. */
  readonly since: Instant;
  readonly opened: Instant | undefined;
  readonly acknowledged: Instant | undefined;
  readonly closed: Instant | undefined;
}

/** What the keeper is told, in words. */
export interface AlertText {
  readonly title: string;
  /** One sentence: what is wrong, worded as sure as the finding is. */
  readonly what: string;
  readonly severity: Severity;
  /** The trouble has ended. */
  readonly over: boolean;
  readonly since: string;
  readonly evidence: readonly string[];
  readonly todo: readonly string[];
  readonly cautions: readonly string[];
}

/** A message to be delivered once over one channel; kept until it is. */
export interface Delivery {
  /**
   * 'ALERT-ID/CHANGE/CHANNEL', CHANGE with its time where it can happen again: the key by which a
   * restart never sends again.
   */
  readonly id: string;
  readonly alert: string;
  /** What happened to the alert that is worth telling. */
  readonly change: 'opened' | 'worsened' | 'repeated' | 'summary' | 'closed';
  readonly channel: string;
  /** The complete message, as it will be sent. */
  readonly body: string;
  readonly created: Instant;
  readonly attempts: number;
  readonly due: Instant;
  readonly state: 'waiting' | 'delivered' | 'given-up';
  readonly lastError: string | undefined;
}
