import type { AccountBook } from '../books/index.ts';
import type { HeatFit } from '../heat/index.ts';
import {
  DAY,
  HOUR,
  type Instant,
  type LocalDate,
  type Logger,
  later,
  SLOT,
  slotOf,
} from '../units/index.ts';
import type { CostsSeen, TankNights } from '../watches/index.ts';
import { probesOf, slotMeans } from './climate-means.ts';
import type { Group } from './group.ts';
import { USUAL_BAND } from './heat-lane.ts';
import type { House } from './house.ts';
import type { Memory } from './memory.ts';
import { type AirCourse, airCourse } from './nights/air-course.ts';
import { nightBasis } from './nights/basis.ts';
import { beginGathering, type Gathering, LONGEST, type NightStore } from './nights/gather.ts';
import {
  type AirMemory,
  type NightMemory,
  noAir,
  noNights,
  readBack,
  type ScoredNight,
  scoresOf,
  withAir,
  withNight,
} from './nights/memory.ts';
import { dateBefore, type Night, nightAround, nightOn } from './nights/span.ts';
import { costsOf, type NightAhead, nightAhead, tonightOf } from './nights/tonight.ts';
import { ownDevices } from './own-devices.ts';
import { type PriceAt, slotPrices } from './slot-price.ts';

/** What the heaters of each tank will draw tonight, and how well that was known of earlier nights. */
export interface NightLane {
  /** A bit of work: reads a piece of a night that is over, or forecasts some tanks for tonight. */
  learn(now: Instant): void;
  /** By tank, for the watch of expensive nights. */
  readonly nights: CostsSeen['nights'];
  /** By tank: from the evening on, until the night is over. */
  readonly tonight: ReadonlyMap<string, NightAhead>;
  /** The nights that were forecast and are known by now, oldest first. */
  scores(tank: string): readonly ScoredNight[];
  refit(house: House): void;
}

export interface NightParts {
  readonly memory: Memory;
  readonly store: NightStore;
  readonly group: Group;
  /** By tank: what was learned of its heat, or what its geometry says. */
  readonly fits: ReadonlyMap<string, HeatFit>;
  /** They know what blocks come to. */
  readonly books: Pick<AccountBook, 'blockUse'>;
  readonly logger: Logger;
}

/** So many nights are compared, and so many are read when the daemon is new to its books. */
const NIGHTS = 14;
/** Counters that move in steps are late by so much. */
const LATE = 3 * HOUR;
/** Some 10 ms of work at a time. */
const TANKS_AT_ONCE = 100;

/** One forecasting of all tanks; once an hour. */
interface Round {
  readonly at: Instant;
  readonly night: Night;
  readonly priceAt: PriceAt;
  readonly left: string[];
}

export function createNightLane(start: House, parts: NightParts): NightLane {
  const { store, group, fits, books, logger } = parts;
  const stored = parts.memory.read('app');
  let house = start;
  let own = ownDevices(house);
  let basisOf = nightBasis(house);
  const memories = new Map<string, NightMemory>();
  const airs = new Map<string, AirMemory>();
  let read = (stored.get('nights-read') as { from: Instant } | undefined)?.from;
  let gathering: Gathering | undefined;
  let idleUntil = Number.NEGATIVE_INFINITY as Instant;
  let round: Round | undefined;
  let courses = new Map<string, AirCourse>();
  const seen = new Map<string, TankNights>();
  const tonight = new Map<string, NightAhead>();
  recall();

  /** Tanks and rooms of the house, each with what is kept of it. */
  function recall(): void {
    for (const [tank, { heaterW }] of own) {
      if (heaterW === 0 || memories.has(tank)) continue;
      memories.set(tank, readBack(stored.get(`night:${tank}`), noNights));
      showPast(tank);
    }
    for (const room of Object.keys(house.config.rooms)) {
      if (!airs.has(room)) airs.set(room, readBack(stored.get(`night-air:${room}`), noAir));
    }
  }

  function showPast(tank: string): void {
    const nights = costsOf(memories.get(tank)?.nights.slice(-NIGHTS) ?? []);
    seen.set(tank, { tonight: undefined, nights });
  }

  /** The next night to be read, oldest first; until it is due there is nothing to read. */
  function nextNight(now: Instant): Night | undefined {
    // A clock that was set back must not be waited for, here and below.
    if (now < idleUntil && idleUntil - now <= HOUR) return undefined;
    const { calendar } = house;
    const begins = (store.extent()?.from ?? now) - 1;
    const done = read === undefined || read > now ? begins : read;
    const first = Math.max(done, begins, now - NIGHTS * DAY);
    let date: LocalDate = dateBefore(calendar.dateAt(first as Instant), calendar);
    let night = nightOn(date, calendar);
    while (night.from <= first) {
      date = calendar.dateAt(calendar.dayOf(date).to);
      night = nightOn(date, calendar);
    }
    const due = later(night.from, LONGEST * SLOT + LATE);
    if (due <= now) return night;
    idleUntil = Math.min(due, now + HOUR) as Instant;
    return undefined;
  }

  function gather(work: Gathering): void {
    if (work.step()) return;
    gathering = undefined;
    const { night } = work;
    const { tanks, rooms } = work.facts();
    for (const [room, air] of rooms) {
      if (air.every((celsius) => celsius === undefined)) continue;
      const next = withAir(airs.get(room) ?? noAir, night, air);
      airs.set(room, next);
      group.save('app', `night-air:${room}`, next);
    }
    for (const [tank, drawn] of tanks) {
      const before = memories.get(tank) ?? noNights;
      keep(tank, withNight(before, night, drawn, basisOf(tank, night)));
      showPast(tank);
      const scored = scoresOf(memories.get(tank) ?? noNights).at(-1);
      if (scored?.night.from === night.from) {
        logger.debug({ tank, night: night.from, ...scored.score }, 'a forecast night is over');
      }
    }
    read = night.from;
    group.save('app', 'nights-read', { from: read });
  }

  function keep(tank: string, memory: NightMemory): void {
    memories.set(tank, memory);
    group.save('app', `night:${tank}`, memory);
  }

  function beginRound(night: Night, now: Instant): Round {
    const probes = probesOf(house).room;
    const slot = slotOf(now);
    const means = slotMeans(store.climate({ from: later(slot, -2 * SLOT), to: later(slot, SLOT) }));
    const next = new Map<string, AirCourse>();
    for (const [room, air] of airs) {
      const airC = means(probes.get(room)).at(-1)?.celsius;
      const course = airCourse(air, night, now, airC, courses.get(room));
      if (course !== undefined) next.set(room, course);
    }
    courses = next;
    const priceAt = slotPrices(house.basis, books, store, night, now);
    return { at: now, night, priceAt, left: [...memories.keys()] };
  }

  function forecast(tank: string, { at, night, priceAt }: Round): void {
    const spec = house.config.tanks[tank];
    const fit = fits.get(tank);
    const memory = memories.get(tank);
    const room = courses.get(spec?.room ?? '');
    const heaterW = own.get(tank)?.heaterW ?? 0;
    if (spec === undefined || fit === undefined || memory === undefined || room === undefined) {
      forgetTonight(tank);
      return;
    }
    const ahead = nightAhead(spec, fit, memory, {
      ...{ night, room, heaterW, priceAt },
      bandK: USUAL_BAND,
    });
    tonight.set(tank, ahead);
    seen.set(tank, {
      nights: seen.get(tank)?.nights ?? [],
      tonight: tonightOf(ahead, priceAt, basisOf(tank, night)),
    });
    if (at >= night.from) return;
    const { from, to, energy, cost, known } = ahead;
    keep(tank, { ...memory, tonight: { from, to, energy, cost, known } });
  }

  function forgetTonight(tank: string): void {
    tonight.delete(tank);
    const known = seen.get(tank);
    if (known?.tonight !== undefined) seen.set(tank, { ...known, tonight: undefined });
  }

  /** The night to look ahead to; of one that is over nothing is said any more. */
  function turnTo(now: Instant): Night | undefined {
    const current = round?.night;
    if (current !== undefined && now >= current.evening && now < current.to) return current;
    round = undefined;
    for (const tank of tonight.keys()) forgetTonight(tank);
    return nightAround(now, house.calendar);
  }

  function lookAhead(night: Night, now: Instant): void {
    if (round === undefined || Math.abs(now - round.at) >= HOUR) round = beginRound(night, now);
    for (const tank of round.left.splice(0, TANKS_AT_ONCE)) forecast(tank, round);
  }

  return {
    learn(now) {
      if (memories.size === 0) return;
      const night = turnTo(now);
      const due = gathering === undefined ? nextNight(now) : undefined;
      if (due !== undefined) {
        const priceAt = slotPrices(house.basis, books, store, due, now);
        gathering = beginGathering(due, house, store, priceAt);
      }
      if (gathering !== undefined) gather(gathering);
      else if (night !== undefined) lookAhead(night, now);
    },
    nights: seen,
    tonight,
    scores: (tank) => scoresOf(memories.get(tank) ?? noNights),
    refit(next) {
      house = next;
      own = ownDevices(house);
      basisOf = nightBasis(house);
      gathering = undefined;
      round = undefined;
      for (const tank of [...memories.keys()]) {
        forgetTonight(tank);
        if ((own.get(tank)?.heaterW ?? 0) > 0) continue;
        memories.delete(tank);
        seen.delete(tank);
      }
      recall();
    },
  };
}
