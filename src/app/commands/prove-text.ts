import type {
  BaselineModel,
  Doubt,
  FitErrors,
  PeriodUse,
  Proof,
  Proven,
  Shortfall,
} from '../../alternatives/index.ts';
import type { Words } from '../../exports/index.ts';
import {
  type MicroPerKwh,
  type MicroUnits,
  type MilliwattHours,
  printable,
} from '../../units/index.ts';
import type { ProveTarget } from './prove-target.ts';

/** How a site writes what a proof says. */
export interface ProveWords extends Words {
  /** '24.9 °C' or '76.8 °F'. */
  readonly celsius: (value: number) => string;
  /** A difference: '1.2 K', '2.2 °F'. */
  readonly kelvin: (value: number) => string;
}

const NAMES = { baseline: 'before the change', reporting: 'after it' } as const;

/** A proof in sentences, line by line. */
export function proofText(
  proof: Proof,
  { name, air }: ProveTarget,
  words: ProveWords,
  perKwh: MicroPerKwh | undefined,
): string {
  const head = [
    printable(name),
    `  before the change  ${periodText(proof.baseline, words)}`,
    `  after it           ${periodText(proof.reporting, words)}`,
  ];
  const said =
    proof.verdict === 'not-yet'
      ? proof.shortfalls.map(
          (shortfall) => `  cannot be said yet: ${lacking(shortfall, air, words)}`,
        )
      : provenLines(proof, air, words, perKwh);
  return [...head, ...said].join('\n');
}

function periodText(use: PeriodUse, words: Words): string {
  if (use.from === undefined || use.to === undefined) return 'no day';
  const out = [
    [use.unmeasured, 'not measured well enough'],
    [use.withoutTemperature, 'without a temperature'],
    [use.absent, 'not in the books'],
  ] as const;
  const left = out.flatMap(([days, why]) => (days > 0 ? `${words.count(days)} ${why}` : []));
  const days = `${words.count(use.used)} days count`;
  const span = `${words.date(use.from)} to ${words.date(use.to)}`;
  return `${span}: ${[days, ...left].join(', ')}`;
}

function provenLines(
  proof: Proven,
  air: string | undefined,
  words: ProveWords,
  perKwh: MicroPerKwh | undefined,
): string[] {
  const { savings, predicted, part, errors, model, confidence } = proof;
  const share = part && `${words.percent(part.value)} ± ${words.percent(part.uncertainty)}`;
  const given = ({ value, uncertainty }: Proven['savings']): string =>
    `${words.energy(value)} ± ${words.energy(uncertainty)}`;
  const verdict = {
    saved: 'It has saved energy.',
    'draws-more': 'It draws more than before.',
    'no-difference-seen': 'No difference is seen: what there may be is less than the uncertainty.',
  }[proof.verdict];
  return [
    `  drawn after it     ${words.energy(proof.actual)}`,
    `  without it         ${given(predicted)}, reckoned for the same weather`,
    `  saved              ${given(savings)}${share === undefined ? '' : ` (${share})`}`,
    ...moneyLine(savings, words, perKwh),
    `  ${verdict} The range holds ${words.percent(confidence)} of the time.`,
    `  weather            ${weatherText(model, air, words)}`,
    `  fit                ${fitText(errors, words)}`,
    ...proof.doubts.map((doubt) => `  mind               ${doubtText(doubt, words)}`),
  ];
}

/** At the mean price of what was drawn since the change. */
function moneyLine(
  { value, uncertainty }: Proven['savings'],
  words: Words,
  perKwh: MicroPerKwh | undefined,
): string[] {
  if (perKwh === undefined) return [];
  const worth = (energy: MilliwattHours): string =>
    words.money(Math.round((energy * perKwh) / 1e6) as MicroUnits);
  return [
    `                     ${worth(value)} ± ${worth(uncertainty)} at ${words.price(perKwh)}, the mean since`,
  ];
}

function weatherText(
  { heating, cooling }: BaselineModel,
  air: string | undefined,
  words: ProveWords,
): string {
  const answer = heating ?? cooling;
  if (answer === undefined) return 'none: days are compared as they are';
  const { balanceC, perDegreeDay } = answer;
  const side = heating === undefined ? 'cooling above' : 'heating below';
  const each = words.energy(Math.round(perDegreeDay.value) as MilliwattHours);
  return `${side} ${words.celsius(balanceC)}, ${each} for each kelvin and day; by the air of ${printable(air ?? 'no probe')}`;
}

function fitText({ cvRmse, nmbe, denominator, divisor }: FitErrors, words: Words): string {
  const over =
    denominator === 'n-p'
      ? 'days less all parameters of the model'
      : 'days less those of the weather';
  return `CV(RMSE) ${words.percent(cvRmse)}, NMBE ${words.percent(nmbe)}, over ${words.count(divisor)}: ${over} (${denominator})`;
}

function lacking(shortfall: Shortfall, air: string | undefined, words: ProveWords): string {
  switch (shortfall.kind) {
    case 'too-few-days':
      return `${words.count(shortfall.have)} days count ${NAMES[shortfall.period]}, and ${words.count(shortfall.need)} are needed${air === undefined ? '; no probe measures the air there' : ''}`;
    case 'too-little-spread':
      return `the air moved by ${words.kelvin(shortfall.haveK)} only before the change, and ${words.kelvin(shortfall.needK)} are needed to tell what a colder day takes; --no-weather compares days as they are`;
    case 'no-answer-to-weather':
      return 'what was drawn before the change does not go with the temperature; --no-weather compares days as they are';
    case 'nothing-drawn':
      return 'nothing was drawn before the change';
  }
}

function doubtText(doubt: Doubt, words: ProveWords): string {
  switch (doubt.kind) {
    case 'poor-fit':
      return `the days before the change scatter: CV(RMSE) is ${words.percent(doubt.cvRmse)}, above ${words.percent(doubt.limit)}`;
    case 'colder-than-baseline':
      return `${words.count(doubt.days)} days since were colder than any before the change, by up to ${words.kelvin(doubt.byK)}`;
    case 'warmer-than-baseline':
      return `${words.count(doubt.days)} days since were warmer than any before the change, by up to ${words.kelvin(doubt.byK)}`;
    case 'many-days-left-out':
      return `${words.percent(doubt.part)} of the days ${NAMES[doubt.period]} do not count`;
  }
}
