/** What happens in a house that is well: things that must not be taken for faults. */
export interface Habits {
  /** About once a week the keeper changes a part of a tank's water. */
  readonly waterChanges: boolean;
  /** On some days the keeper stops a tank's pumps and filters for ten minutes, to feed. */
  readonly feedingPauses: boolean;
  /** On some days a room's window is open for some minutes. */
  readonly airings: boolean;
  /** How far the mains wander to either side in the course of a day, as a part. */
  readonly voltSpread: number;
  /** A probe now and then says a wild value, once. */
  readonly probeSpikes: boolean;
  /** A plug now and then is not heard for some minutes. */
  readonly lostReports: boolean;
}

export const USUAL_HABITS: Habits = {
  waterChanges: true,
  feedingPauses: false,
  airings: false,
  voltSpread: 0.012,
  probeSpikes: false,
  lostReports: false,
};
