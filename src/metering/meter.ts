import type {
  Calendar,
  Instant,
  Millis,
  MilliwattHours,
  WattHours,
  Watts,
} from '../units/index.ts';

/** How an energy is known, from best to least. */
export type Known = 'counted' | 'integrated' | 'bridged' | 'reckoned';

/**
 * Energy to add to one slot of one device. Amounts may be negative: when a counter moves, what had
 * been integrated meanwhile is withdrawn and booked again as counted.
 */
export interface Posting {
  readonly slot: Instant;
  readonly known: Known;
  readonly energy: MilliwattHours;
  /** The part of `energy` that is exact in amount but only spread evenly over its time. */
  readonly spread: MilliwattHours;
  /** How much of the slot this posting accounts for. */
  readonly covered: Millis;
  /** How much of `covered` the device drew more than its `drawing` threshold. */
  readonly drawing: Millis;
}

export interface MeterSpec {
  readonly plug: string;
  readonly limit: Watts;
  readonly reporting: 'on-change' | 'interval';
  /** Fixed by the config, or undefined to learn it. */
  readonly usualInterval: Millis | undefined;
  readonly maxGap: Millis | undefined;
  readonly counterRestarts: 'never' | 'at-midnight' | 'at-power-on';
  /** Of the plug's own clock, where its counter restarts at midnight. */
  readonly calendar: Calendar | undefined;
  readonly counterWrapsAt: WattHours | undefined;
  /** A falling counter is energy that flows back. */
  readonly bidirectional: boolean;
  /** Power below zero is energy that flows back, and so may be the sum of several counters. */
  readonly signed: boolean;
  /** Where the plug has several counters: 1 for those that add to its energy, −1 for the others. */
  readonly registers: ReadonlyMap<string, 1 | -1> | undefined;
  /** How a gap is bridged: heaters and other thermostats by mean duty, the rest by last power. */
  readonly bridge: 'mean-duty' | 'last-power';
  /** Above this the device counts as drawing. */
  readonly drawing: Watts;
}

/** Something the meter corrected or refused, with the values it saw. Stable words. */
export type MeterEvent =
  | 'baseline' // first counter reading: nothing to book yet
  | 'duplicate' // same source, time and value again
  | 'retained-ignored' // a counter that the broker had kept, though a newer one is known
  | 'out-of-order' // older than the last reading
  | 'drop-suspected' // the counter fell; waiting for a second reading
  | 'drop-glitch' // it came back: the low reading was ignored
  | 'counter-reset' // started again from zero; the new value was booked
  | 'counter-rolled-back' // fell a little; new baseline, nothing booked
  | 'counter-wrapped'
  | 'leap-suspected' // rose faster than the plug can carry; waiting
  | 'leap-glitch' // it came back
  | 'leap-rebased' // confirmed: new baseline, nothing booked
  | 'counter-stuck' // it stands still though the samples say that energy flows: they stand
  | 'counter-moving' // it moves again: what stands by then is not booked a second time
  | 'gap-bridged'
  | 'gap-unknown' // longer than may be bridged: nothing booked for the rest
  | 'over-limit' // a power sample beyond the plug's limit, ignored
  | 'negative-power' // taken as nothing drawn
  | 'register-unknown' // a counter that the plug's config does not have, ignored
  | 'clock-rebased'; // time went back or far ahead: the counter goes on from the new time

export interface MeterNote {
  readonly event: MeterEvent;
  readonly plug: string;
  /** Where the plug has several counters: which of them. */
  readonly register?: string;
  readonly at: Instant;
  /**
   * Last and new value: Wh for counters, W for power; for 'out-of-order' and 'clock-rebased' the
   * last and the new time; for gaps `found` is the length of the span in ms; for 'counter-stuck'
   * and 'counter-moving' `found` is what stands as sampled since the counter moved, Wh.
   */
  readonly before: number | undefined;
  readonly found: number;
}
