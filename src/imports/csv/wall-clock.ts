import { type Calendar, DAY, HOUR, type Instant, type OffsetStretch } from '../../units/index.ts';

/** No zone is farther from UTC. */
const FARTHEST = 15 * HOUR;

/** The clock on the wall of a zone; wall times are written as if they were UTC, in ms. */
export interface WallClock {
  /** The instants at which it shows `wall`: one, two where it is set back, none where it skips. */
  shows(wall: number): Instant[];
  /**
   * The instants that a span may mean which ends at `wall`, earlier first: also the moment of a
   * change, which the clock reaches but does not show.
   */
  ends(wall: number): Instant[];
}

/** Asks the zone's rules once a day of the calendar, since tables run through days in order. */
export function createWallClock(calendar: Calendar): WallClock {
  let day = Number.NaN;
  let stretches: readonly OffsetStretch[] = [];

  function around(wall: number): readonly OffsetStretch[] {
    const its = Math.floor(wall / DAY);
    if (its !== day) {
      day = its;
      const from = (its * DAY - FARTHEST) as Instant;
      const to = ((its + 1) * DAY + FARTHEST) as Instant;
      stretches = calendar.stretches({ from, to });
    }
    return stretches;
  }

  return {
    shows: (wall) =>
      around(wall).flatMap(({ from, to, offset }) => {
        const at = (wall - offset) as Instant;
        return at >= from && at < to ? [at] : [];
      }),
    ends: (wall) =>
      around(wall).flatMap(({ from, to, offset }) => {
        const at = (wall - offset) as Instant;
        return at >= from && at <= to ? [at] : [];
      }),
  };
}
