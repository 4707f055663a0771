import type { Instant } from '../units/index.ts';
import type { Evidence, Finding, Severity, Subject, WatchName } from '../watches/index.ts';

export type AlertState = 'pending' | 'open' | 'acknowledged' | 'closed';

/** One trouble from first suspicion to its end. */
export interface Alert {
  /** 'WATCH:SUBJECT:SINCE', the same after a restart. */
  readonly id: string;
  readonly watch: WatchName;
  readonly subject: Subject;
  readonly state: AlertState;
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
  readonly since: string;
  readonly evidence: readonly string[];
  readonly todo: readonly string[];
  readonly cautions: readonly string[];
}

/** A message to be delivered once over one channel; kept until it is. */
export interface Delivery {
  /** 'ALERT-ID/CHANGE/CHANNEL': the key by which a restart never sends again. */
  readonly id: string;
  readonly alert: string;
  /** What happened to the alert that is worth telling. */
  readonly change: 'opened' | 'worsened' | 'closed';
  readonly channel: string;
  /** The complete message, as it will be sent. */
  readonly body: string;
  readonly created: Instant;
  readonly attempts: number;
  readonly due: Instant;
  readonly state: 'waiting' | 'delivered' | 'given-up';
  readonly lastError: string | undefined;
}
