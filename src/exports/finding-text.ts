import type { EnergyByKnown, ReconcileFinding } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import type { LocalDate } from '../units/index.ts';
import type { Words } from './words.ts';

type Finding<Code extends ReconcileFinding['code']> = Extract<ReconcileFinding, { code: Code }>;

/** What a finding says and what to look at, in sentences; then its details, one a line. */
export interface FindingText {
  readonly says: string;
  readonly details: readonly string[];
}

const WAYS: Readonly<Record<Known, string>> = {
  counted: 'counted',
  integrated: 'integrated from power',
  bridged: 'bridged over gaps',
  reckoned: 'reckoned',
};
const MOST_DAYS = 10;

export function findingText(finding: ReconcileFinding, words: Words): FindingText {
  switch (finding.code) {
    case 'house-below-fish-room':
      return houseBelow(finding, words);
    case 'bill-differs-from-intervals':
      return only(billAgainstIntervals(finding, words));
    case 'bill-differs-from-tariff':
      return only(billAgainstTariff(finding, words));
    case 'intervals-missing':
      return intervalsMissing(finding, words);
    case 'fish-room-missing':
      return only(
        `Nothing is known of ${words.length(finding.time)} of the devices' time (${words.percent(finding.fraction)} of it): the fish room drew more than stands here.`,
      );
    case 'reckoned-large':
      return only(
        `${words.percent(finding.fraction)} of the fish room is reckoned from nameplates and schedules (${words.energy(finding.reckoned)}): a plug on the largest of those devices would say more.`,
      );
  }
}

const only = (says: string): FindingText => ({ says, details: [] });

function houseBelow(finding: Finding<'house-below-fish-room'>, words: Words): FindingText {
  const { count, excess, byKnown, hours } = finding;
  const times = count === 1 ? 'In one hour' : `In ${words.count(count)} hours`;
  return {
    says: `${times} the devices drew more than the whole house, by at least ${words.energy(excess)}: a plug reads high, a device is not fed by these meters, or something in the house feeds in. What they rest on: ${ways(byKnown, words)}.`,
    details: hours.map(
      (hour) =>
        `${words.dateAndClock(hour.from)}: house ${words.energy(hour.house)}, devices ${words.energy(hour.fishRoom)} (${ways(hour.byKnown, words)})`,
    ),
  };
}

/** The ways that energy is known by, the largest first. */
function ways(byKnown: EnergyByKnown, words: Words): string {
  const all = Object.entries(byKnown).filter(([, energy]) => energy !== 0);
  const sum = all.reduce((before, [, energy]) => before + energy, 0);
  return all
    .sort(([, a], [, b]) => b - a)
    .map(([known, energy]) => `${words.percent(energy / sum)} ${WAYS[known as Known]}`)
    .join(', ');
}

function billAgainstIntervals(
  { stated, counted, difference, fraction }: Finding<'bill-differs-from-intervals'>,
  words: Words,
): string {
  const part = fraction === undefined ? '' : ` (${words.percent(Math.abs(fraction))})`;
  const way = difference > 0 ? 'more' : 'less';
  const by = words.energy(Math.abs(difference) as typeof difference);
  return `The bill states ${words.energy(stated)}, ${by}${part} ${way} than the ${words.energy(counted)} of the intervals: ask the utility for both register readings, and compare their dates.`;
}

function billAgainstTariff(
  { stated, computed, difference, tolerance }: Finding<'bill-differs-from-tariff'>,
  words: Words,
): string {
  const way = difference > 0 ? 'more' : 'less';
  const by = words.money(Math.abs(difference) as typeof difference);
  return `The bill comes to ${words.money(stated)}, ${by} ${way} than the ${words.money(computed)} that the tariff makes of it; rounding, and what is unsure of its energy, explain at most ${words.money(tolerance)}. Compare prices, charges and taxes with the bill, line by line.`;
}

function intervalsMissing({ days, time }: Finding<'intervals-missing'>, words: Words): FindingText {
  const named = days.slice(0, MOST_DAYS).map((day: LocalDate) => words.date(day));
  const more = days.length > MOST_DAYS ? `, and ${words.count(days.length - MOST_DAYS)} more` : '';
  return only(
    `The house's meters say nothing of ${words.length(time)}, on ${named.join(', ')}${more}: nothing is compared there.`,
  );
}
