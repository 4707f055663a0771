import { UPKEEP } from '../shares/index.ts';
import type { Tariff } from '../tariff/index.ts';
import { apportion, type Instant, type MicroUnits, type Span } from '../units/index.ts';
import type { AccountBasis, AccountTimes } from './basis.ts';
import { tariffsOn } from './sheet-key.ts';

/** Standing charges of a span, and what each tank bears of them where the tariff says so. */
export interface Standing {
  readonly total: number;
  readonly tanks: ReadonlyMap<string, number>;
}

/** The standing charges of a part of one local day. */
export type StandingCharges = (part: Span, day: Span, times: AccountTimes) => Standing;

const NONE: Standing = { total: 0, tanks: new Map() };

/**
 * Those of a billing month are divided evenly among its local days (largest remainder, earlier days
 * first), and a day's by the time of it that has passed; tanks bear equal parts. Spans that meet add
 * up to the micro-unit.
 */
export function standingCharges({ calendar, tariffs, shares }: AccountBasis): StandingCharges {
  const tanks = shares.tanks.filter((tank) => tank !== UPKEEP);
  const byDay = new Map<Tariff, Map<Instant, number>>();

  function ofDay(tariff: Tariff, day: Span): number {
    let days = byDay.get(tariff);
    if (days === undefined) {
      days = new Map();
      byDay.set(tariff, days);
    }
    if (!days.has(day.from)) divide(tariff, tariff.month(day.from), days);
    return days.get(day.from) ?? 0;
  }

  function divide(tariff: Tariff, month: Span, days: Map<Instant, number>): void {
    const begins: Instant[] = [];
    for (let at = month.from; at < month.to; at = calendar.day(at).to) begins.push(at);
    const parts = apportion(
      tariff.standing(month),
      begins.map(() => 1),
    );
    begins.forEach((begin, index) => {
      days.set(begin, parts[index] ?? 0);
    });
  }

  return (part, day, { now, since }) => {
    const from = Math.max(part.from, since);
    const to = Math.min(part.to, now);
    const [tariff] = tariffsOn(day, tariffs.tariffs);
    if (tariff === undefined || from >= to) return NONE;
    const whole = ofDay(tariff, day);
    const until = (at: number): number =>
      at >= day.to ? whole : Math.round((whole * (at - day.from)) / (day.to - day.from));
    const total = until(to) - until(from);
    if (!tariff.standingShared || tanks.length === 0) return { total, tanks: NONE.tanks };
    const parts = apportion(
      total as MicroUnits,
      tanks.map(() => 1),
    );
    return { total, tanks: new Map(tanks.map((tank, index) => [tank, parts[index] ?? 0])) };
  };
}
