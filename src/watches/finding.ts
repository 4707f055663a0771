import type { Instant, Millis } from '../units/index.ts';

export type WatchName =
  | 'heater-stuck-on'
  | 'heater-not-heating'
  | 'heater-overmatched'
  | 'heater-weak'
  | 'heater-drifting'
  | 'heater-chattering'
  | 'heater-unheard'
  | 'heater-against-chiller'
  | 'duty-unexplained'
  | 'tank-too-warm'
  | 'tank-too-cold'
  | 'plug-silent'
  | 'probe-silent'
  | 'probe-frozen'
  | 'room-cooling'
  | 'pump-stopped'
  | 'pump-laboring'
  | 'air-stopped'
  | 'light-off-plan'
  | 'mat-overheating'
  | 'power-cut'
  | 'expensive-night'
  | 'cost-ahead';

/** What a watch looks at. */
export interface Subject {
  readonly kind: 'device' | 'tank' | 'plug' | 'probe' | 'room';
  readonly id: string;
}

export type Severity = 'notice' | 'warning' | 'critical';

/** One number that a finding rests on. */
export interface Evidence {
  /** A stable word, such as 'tank-temperature' or 'switch-off'. */
  readonly what: string;
  readonly value: number;
  readonly unit: 'C' | 'K' | 'W' | 'V' | 'fraction' | 'ms' | 'W/K';
  readonly at: Instant | undefined;
  /** What the value may as well be, 19 times in 20; an end that is missing is open, or not known. */
  readonly low?: number | undefined;
  readonly high?: number | undefined;
  /** What it is a number of, where that is not what the watch looks at. */
  readonly subject?: Subject | undefined;
}

export interface Finding {
  /** unknown: not enough evidence to say either; it neither opens nor closes an alert. */
  readonly verdict: 'quiet' | 'raised' | 'unknown';
  readonly severity: Severity;
  /** Why, from the watch's own list of reasons; logged, stored and shown. */
  readonly reason: string;
  readonly confidence: 'possible' | 'likely' | 'certain';
  readonly evidence: readonly Evidence[];
  /** How long it must stay raised before the keeper is told. */
  readonly hold: Millis;
}

/** What a watch says unless it knows better: a warning that is only possible. */
export const possibleWarning = (
  verdict: Finding['verdict'],
  reason: string,
  evidence: readonly Evidence[],
  hold: Millis,
): Finding => ({ verdict, severity: 'warning', reason, confidence: 'possible', evidence, hold });
