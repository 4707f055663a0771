import {
  type Calendar,
  CodedError,
  type Instant,
  type LocalDate,
  microPerKwh,
} from '../units/index.ts';
import type { TariffConfig } from './config.ts';
import { coverage, quarterOfWeek, type TimeOfUse } from './hours.ts';
import { tariffProblems } from './problems.ts';
import type { Rate, TariffBook } from './rate.ts';

/** A tariff from its first instant on. */
interface Chapter {
  readonly from: Instant;
  readonly rates: readonly Rate[];
  /** The rate of each quarter-hour of the week, Monday 00:00 first; undefined when flat. */
  readonly week: readonly Rate[] | undefined;
}

/**
 * Makes the site's tariffs ready to be asked for the rate of a slot. Each holds from the local
 * midnight of its `valid_from` to that of the next.
 * @throws CodedError AMP_TARIFF_… with every problem that leaves a slot without one price.
 */
export function compileTariffs(
  configs: Readonly<Record<string, TariffConfig>>,
  calendar: Calendar,
): TariffBook {
  refuse(configs);
  const chapters = Object.entries(configs)
    .map(([id, config]) => chapter(id, config, calendar))
    .sort((a, b) => b.from - a.from);
  return {
    rateAt: (at) => {
      for (const { from, rates, week } of chapters) {
        if (at < from) continue;
        if (week === undefined) return rates[0];
        const { weekday, minute } = calendar.local(at);
        return week[quarterOfWeek(weekday, minute)];
      }
      return undefined;
    },
    rates: chapters.toReversed().flatMap(({ rates }) => rates),
    begins: chapters.at(-1)?.from,
  };
}

function refuse(configs: Readonly<Record<string, TariffConfig>>): void {
  const problems = tariffProblems(configs);
  const [first] = problems;
  if (first === undefined) return;
  const lines = problems.map(({ path, message }) => `tariffs.${path.join('.')}: ${message}`);
  throw new CodedError(first.code, lines.join('; '), { remedy: first.remedy });
}

function chapter(id: string, config: TariffConfig, calendar: Calendar): Chapter {
  const { from } = calendar.dayOf(config.valid_from as LocalDate);
  const { energy } = config;
  if (energy.kind === 'flat') {
    const price = microPerKwh(energy.price_per_kwh);
    const name = config.name ?? 'flat';
    return { from, rates: [rate(id, 'flat', name, price)], week: undefined };
  }
  const rates = new Map(
    Object.entries(energy.rates).map(([key, { name, price_per_kwh }]) => [
      key,
      rate(id, key, name ?? key, microPerKwh(price_per_kwh)),
    ]),
  );
  return { from, rates: [...rates.values()], week: weekOf(energy, rates) };
}

const rate = (tariff: string, id: string, name: string, price: Rate['price']): Rate => ({
  key: `${tariff}/${id}`,
  id,
  name,
  tariff,
  price,
});

/** Only for periods that hold each quarter-hour once. */
const weekOf = (energy: TimeOfUse, rates: ReadonlyMap<string, Rate>): Rate[] =>
  coverage(energy.periods).map((holding) => {
    const period = energy.periods[holding[0] as number] as TimeOfUse['periods'][number];
    return rates.get(period.rate) as Rate;
  });
