import { type Calendar, CodedError, type Instant, type LocalDate } from '../units/index.ts';
import type { TariffConfig } from './config.ts';
import { problemText, tariffProblems } from './problems/index.ts';
import type { TariffBook } from './rate.ts';
import { type Chapter, compileTariff } from './tariff.ts';

/**
 * Makes the site's tariffs ready to be asked for the rate of a slot. Each holds from the local
 * midnight of its `valid_from` to that of the next.
 * @param currency ISO 4217: bills are rounded to its coin
 * @throws CodedError AMP_TARIFF_… with every problem that leaves a slot without one price.
 */
export function compileTariffs(
  configs: Readonly<Record<string, TariffConfig>>,
  calendar: Calendar,
  currency: string,
): TariffBook {
  refuse(configs);
  const starts = Object.entries(configs)
    .map(([id, config]) => ({
      id,
      config,
      from: calendar.dayOf(config.valid_from as LocalDate).from,
    }))
    .sort((a, b) => a.from - b.from);
  const chapters = starts.map(({ id, config, from }, index) =>
    compileTariff(id, config, { from, to: starts[index + 1]?.from }, calendar, currency),
  );
  const chapterAt = chapterFinder(chapters);
  return {
    tariffs: chapters.map(({ tariff }) => tariff),
    tariffAt: (at) => chapterAt(at)?.tariff,
    rateAt: (at) => chapterAt(at)?.rateAt(at),
    rates: chapters.flatMap(({ tariff }) => tariff.rates),
    begins: chapters[0]?.tariff.from,
  };
}

function chapterFinder(chapters: readonly Chapter[]): (at: Instant) => Chapter | undefined {
  const holds = ({ tariff: { from, to } }: Chapter, at: Instant): boolean =>
    at >= from && (to === undefined || at < to);
  let last = chapters.at(-1);
  return (at) => {
    if (last !== undefined && holds(last, at)) return last;
    const found = chapters.find((chapter) => holds(chapter, at));
    last = found ?? last;
    return found;
  };
}

function refuse(configs: Readonly<Record<string, TariffConfig>>): void {
  const problems = tariffProblems(configs);
  const [first] = problems;
  if (first === undefined) return;
  const lines = problems.map((problem) => problemText(problem, configs));
  throw new CodedError(first.code, lines.join('; '), { remedy: first.remedy });
}
