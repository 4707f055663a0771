import type { Database } from 'better-sqlite3';
import type { HouseInterval } from '../books/index.ts';
import {
  CodedError,
  type Instant,
  type MicroUnits,
  type MilliwattHours,
  type Span,
} from '../units/index.ts';
import { isSpan, requireRecord, type Taken } from './records.ts';
import type { SupersededTable } from './superseded.ts';
import { timelinesIn } from './timelines.ts';

export interface HouseTable {
  /**
   * Keeps intervals by meter and start, however often they come. One that changes leaves the former
   * values in `superseded`.
   *
   * @throws CodedError AMP_STORE_HOUSE_OVERLAP when one lies over another of its meter with other
   *   bounds
   */
  add(intervals: readonly HouseInterval[], source: string, at: Instant): Taken;
  /** Those that touch the span, by time, then meter. */
  read(span: Span): HouseInterval[];
}

type Quality = HouseInterval['quality'];

/** The place of a word is its number in the column `quality`. */
const QUALITIES: readonly Quality[] = ['valid', 'estimated', 'unknown'];

type Stored = [
  from: number,
  to: number,
  energy: number,
  cost: number | null,
  quality: number,
  source: string,
];

function requireInterval(interval: HouseInterval): void {
  const { meter, energy, cost = 0, quality } = interval;
  const fits =
    meter !== '' &&
    isSpan(interval) &&
    Number.isSafeInteger(energy) &&
    Number.isSafeInteger(cost) &&
    QUALITIES.includes(quality);
  requireRecord(fits, "an interval of the house's meter", interval);
}

const spoken = (from: number, to: number): string =>
  `${new Date(from).toISOString()}/${new Date(to).toISOString()}`;

function overlap({ meter, from, to }: HouseInterval, source: string, stored: Stored): CodedError {
  return new CodedError(
    'AMP_STORE_HOUSE_OVERLAP',
    `the interval ${spoken(from, to)} of meter '${meter}' in '${source}' lies over ${spoken(stored[0], stored[1])} from '${stored[5]}'`,
    {
      remedy:
        'import each meter in one length of interval, and another meter under a name of its own; nothing of this import was kept',
    },
  );
}

export function houseIn(db: Database, superseded: SupersededTable): HouseTable {
  const meters = timelinesIn(db, 'house_meters');
  const selectSource = db
    .prepare<[string], number>('SELECT ref FROM house_sources WHERE text = ?')
    .pluck();
  const insertSource = db
    .prepare<[string], number>('INSERT INTO house_sources (text) VALUES (?) RETURNING ref')
    .pluck();
  // The last one that begins before the end of another: as they do not overlap, no other can touch it.
  const selectLastBefore = db
    .prepare<[number, number], Stored>(`
      SELECT from_ms, to_ms, energy_mwh, cost_micro, quality, text FROM house_intervals
      JOIN house_sources ON ref = source_ref
      WHERE meter_ref = ? AND from_ms < ? ORDER BY from_ms DESC LIMIT 1`)
    .raw();
  const put = db.prepare<[number, number, number, number, number | null, number, number]>(`
    INSERT INTO house_intervals
      (meter_ref, from_ms, to_ms, energy_mwh, cost_micro, quality, source_ref)
    VALUES (?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET
      energy_mwh = excluded.energy_mwh,
      cost_micro = excluded.cost_micro,
      quality = excluded.quality,
      source_ref = excluded.source_ref`);
  const select = db
    .prepare<[number, number, number], [string, ...Stored]>(`
      SELECT id, from_ms, to_ms, energy_mwh, cost_micro, quality, ''
      FROM house_meters
      JOIN house_intervals ON meter_ref = house_meters.ref AND from_ms > ? - longest_ms AND from_ms < ?
      WHERE to_ms > ?
      ORDER BY from_ms, id`)
    .raw();

  return {
    add(intervals, source, at) {
      if (intervals.length === 0) return { added: 0, changed: 0, same: 0 };
      for (const interval of intervals) requireInterval(interval);
      const refs = meters.refs(intervals, ({ meter }) => meter);
      const sourceRef = selectSource.get(source) ?? (insertSource.get(source) as number);
      let changed = 0;
      let same = 0;
      for (const interval of intervals) {
        const { meter, from, to, energy, cost = null } = interval;
        const ref = refs.get(meter) as number;
        const quality = QUALITIES.indexOf(interval.quality);
        const stored = selectLastBefore.get(ref, to);
        if (stored !== undefined && stored[1] > from) {
          const [storedFrom, storedTo, formerEnergy, formerCost, formerQuality, former] = stored;
          if (storedFrom !== from || storedTo !== to) throw overlap(interval, source, stored);
          if (formerEnergy === energy && formerCost === cost && formerQuality === quality) {
            same += 1;
            continue;
          }
          changed += 1;
          superseded.add({
            what: 'house-interval',
            id: meter,
            span: { from, to },
            former: {
              energy_mwh: formerEnergy,
              cost_micro: formerCost,
              quality: QUALITIES[formerQuality] as Quality,
              source: former,
            },
            at,
          });
        }
        put.run(ref, from, to, energy, cost, quality, sourceRef);
      }
      return { added: intervals.length - changed - same, changed, same };
    },

    read: ({ from, to }) =>
      select.all(from, to, from).map(([meter, begin, end, energy, cost, quality]) => ({
        meter,
        from: begin as Instant,
        to: end as Instant,
        energy: energy as MilliwattHours,
        cost: (cost ?? undefined) as MicroUnits | undefined,
        quality: QUALITIES[quality] as Quality,
      })),
  };
}
