import { DAY, HOUR, MINUTE } from '../../src/units/index.ts';
import { percent, type Summary, shortfalls } from './summary.ts';
import { SYMPTOMS } from './symptoms.ts';

/** Seeds up to this one are for tuning; what is published comes of later ones. */
const LAST_TUNING_SEED = 1999;

/** The summary in Markdown. */
export function table(summary: Summary): string {
  const { seeds, tankYears, loss, nights } = summary;
  const tuned = seeds.some((seed) => seed <= LAST_TUNING_SEED);
  const short = shortfalls(summary);
  const lines = [
    `${tuned ? 'Tuning' : 'Final'} seeds ${seeds[0]} to ${seeds.at(-1)}: ${tankYears.toFixed(1)} tank-years.`,
    '',
    '| fault | told by | hold | struck | shown | found | median delay | worst delay | late | missed |',
    '| --- | --- | --- | --: | --: | --: | --: | --: | --: | --: |',
    ...summary.faults.map(
      ({ kind, struck, shown, found, medianDelay, worstDelay, late, missed }) =>
        `| ${kind} | ${SYMPTOMS[kind].tells.join(', ')} | ${SYMPTOMS[kind].holdIs} | ${struck} | ${shown} | ${found} | ${lasting(medianDelay)} | ${lasting(worstDelay)} | ${late} | ${missed} |`,
    ),
    '',
    summary.marginKept === undefined
      ? 'No heater stuck.'
      : `Stuck heaters told before 40 % of the margin was used up: ${percent(summary.marginKept)}; the worst had used ${percent(summary.worstMargin ?? 0)}.`,
    '',
    `False alerts: ${summary.falseAYear.toFixed(2)} a tank-year.`,
    '',
    '| watch | false | a tank-year |',
    '| --- | --: | --: |',
    ...summary.falseAlerts.map(
      ({ watch, count }) => `| ${watch} | ${count} | ${(count / tankYears).toFixed(3)} |`,
    ),
    '',
    `True without a fault: ${counted(summary.trueAlerts)}. Followed from a fault: ${counted(summary.consequences)}.`,
    '',
    `Heat loss at day 14: ${loss.fitted} of ${loss.tanks} tanks fitted (the others say that too little was seen), ${loss.within} of them within 5 % of the truth (median error ${maybe(loss.medianError)}, 95 of 100 within ${maybe(loss.worstError)}). The 95 % interval held the truth on ${maybe(loss.intervalHolds)} of the days.`,
    '',
    `Nights without trouble: ${nights.count}, forecast of the evening against what was booked: median error ${maybe(nights.medianError)}.`,
    '',
    short.length === 0 ? 'All figures are reached.' : `Not reached:\n\n${bullets(short)}`,
  ];
  return `${lines.join('\n')}\n`;
}

const maybe = (part: number | undefined): string => (part === undefined ? '–' : percent(part));

const bullets = (lines: readonly string[]): string => lines.map((line) => `- ${line}`).join('\n');

const counted = (counts: Readonly<Record<string, number>>): string =>
  Object.entries(counts)
    .sort((a, b) => b[1] - a[1])
    .map(([watch, count]) => `${watch} ${count}`)
    .join(', ') || 'none';

function lasting(ms: number | undefined): string {
  if (ms === undefined) return '–';
  if (ms < 3 * HOUR) return `${Math.round(ms / MINUTE)} min`;
  return ms < 3 * DAY ? `${(ms / HOUR).toFixed(1)} h` : `${(ms / DAY).toFixed(1)} d`;
}
