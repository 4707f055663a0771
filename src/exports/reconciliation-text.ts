import type { Comparison, Reconciliation } from '../books/index.ts';
import type { Known } from '../metering/index.ts';
import type { Bill } from '../tariff/index.ts';
import type { Calendar, Instant, MilliwattHours } from '../units/index.ts';
import { findingText } from './finding-text.ts';
import { inColumns, short, wrapped } from './terminal.ts';
import { createWords, type Words } from './words.ts';

/** What is not known. */
const UNKNOWN = '–';
/** As on the pages: from this part on, what is bridged or reckoned is marked with '~'. */
const WORTH_A_MARK = 0.1;
const LONGEST_NAME = 22;
const KNOWN: readonly Known[] = ['counted', 'integrated', 'bridged', 'reckoned'];

/**
 * A reconciliation for a terminal: at most 80 characters a line, numbers as the site writes them.
 * Ends with a line end.
 */
export function reconciliationText(
  of: Reconciliation,
  site: { readonly locale: string; readonly currency: string; readonly calendar: Calendar },
): string {
  const words = createWords(site);
  const parts = [
    [title(of, site.calendar, words)],
    summary(of, words),
    rows(
      'By month',
      of.months.map((row) => [row.month, row]),
      words,
    ),
    rows(
      'By rate',
      of.rates.map((row) => [rateName(row.rate?.name), row]),
      words,
    ),
    rows(
      'By hour of the day',
      of.hours.map((row) => [hourName(row.hour), row]),
      words,
    ),
    legend(of),
    bill(of, words),
    findings(of, words),
  ];
  return parts
    .filter((lines) => lines.length > 0)
    .map((lines) => `${lines.join('\n')}\n`)
    .join('\n');
}

function title({ span }: Reconciliation, calendar: Calendar, words: Words): string {
  const last = calendar.dateAt((span.to - 1) as Instant);
  return `House and fish room, ${words.date(calendar.dateAt(span.from))} to ${words.date(last)}`;
}

function summary({ house, fishRoom, whole }: Reconciliation, words: Words): string[] {
  const energy = (amount: MilliwattHours | undefined): string =>
    amount === undefined ? UNKNOWN : words.energy(amount);
  const estimated = house?.estimated ?? 0;
  return inColumns([
    ['House', energy(house?.energy), house?.cost === undefined ? '' : words.money(house.cost)],
    ...(estimated === 0
      ? []
      : [['  estimated by the utility', energy(estimated as MilliwattHours)]]),
    ['Fish room', about(whole) + energy(fishRoom.energy), cost(fishRoom, words)],
    ...KNOWN.filter((known) => fishRoom.byKnown[known] !== 0).map((known) => [
      `  ${known}`,
      (known === 'reckoned' ? '~' : '') + energy(fishRoom.byKnown[known]),
    ]),
    ...(fishRoom.unpriced === 0 ? [] : [['  without a price', energy(fishRoom.unpriced)]]),
    ...(fishRoom.missing === 0
      ? []
      : [["  nothing known of, devices' time", words.length(fishRoom.missing)]]),
    ['While both are known', words.length(whole.both.time)],
    ['  rest of the house', energy(whole.rest)],
    ['  part of the fish room', part(whole, words)],
  ]);
}

/** No price is not a price of nothing. */
const cost = ({ cost: amount, unpriced, energy }: Reconciliation['fishRoom'], words: Words) =>
  unpriced !== 0 && unpriced === energy ? UNKNOWN : words.money(amount);

const about = ({ guessed, fishRoom }: Comparison): string =>
  fishRoom > 0 && guessed / fishRoom > WORTH_A_MARK ? '~' : '';

const part = (of: Comparison, words: Words): string =>
  of.part === undefined ? UNKNOWN : about(of) + words.percent(of.part);

function rows(
  heading: string,
  of: readonly (readonly [name: string, row: Comparison])[],
  words: Words,
): string[] {
  const cells = of.map(([name, row]) => [
    name,
    (row.house === undefined ? UNKNOWN : words.energy(row.house)) + (row.spread === 0 ? ' ' : '*'),
    about(row) + words.energy(row.fishRoom),
    part(row, words),
  ]);
  return inColumns([[heading, 'house ', 'fish room', 'part'], ...cells]).map((line) =>
    line.slice(2),
  );
}

const rateName = (name: string | undefined): string =>
  name === undefined ? 'no tariff' : short(name, LONGEST_NAME);

const hourName = (hour: number): string => `${String(hour).padStart(2, '0')}:00`;

function legend({ whole, months, hours, rates, fishRoom }: Reconciliation): string[] {
  const all = [whole, ...months, ...hours, ...rates];
  const marks = [
    ...(all.some((row) => about(row) !== '') || fishRoom.byKnown.reckoned !== 0
      ? ['~ more than a tenth of it is bridged or reckoned, not measured.']
      : []),
    ...(all.some(({ spread }) => spread !== 0)
      ? ['* an interval that reaches over the edge of a row is spread evenly over its time.']
      : []),
    ...(all.some((row) => row.part === undefined)
      ? ['– not known. A part is taken only over the time that both sides know.']
      : []),
  ];
  return marks.flatMap((mark) => wrapped(mark, '', '  '));
}

function bill(of: Reconciliation, words: Words): string[] {
  const { kept, counted, computed, energyDifference, totalDifference } = of.bill;
  if (kept === undefined && computed === undefined) return [];
  const energy = (amount: MilliwattHours | undefined): string =>
    amount === undefined ? UNKNOWN : words.energy(amount);
  const money = (amount: typeof totalDifference): string =>
    amount === undefined ? UNKNOWN : words.money(amount);
  const used = computed?.bills.reduce((sum, one) => sum + one.energy, 0);
  return [
    'The bill of the house',
    ...inColumns([
      ...(kept === undefined ? [] : [['as stated', energy(kept.energy), money(kept.total)]]),
      ['as the intervals count it', energy(counted), ''],
      [
        'as the tariff makes it',
        energy(used as MilliwattHours | undefined),
        money(computed?.total),
      ],
      ...(kept === undefined
        ? []
        : [['stated less these', energy(energyDifference), money(totalDifference)]]),
      ...partOfBill(of, words),
    ]),
    ...(computed?.bills ?? []).flatMap((one) => ['', ...billLines(one, words)]),
  ];
}

/** Without intervals, the bill's own energy is all that is known of the house. */
function partOfBill({ bill: { kept }, house, fishRoom, whole }: Reconciliation, words: Words) {
  if (house !== undefined || kept?.energy === undefined || kept.energy <= 0) return [];
  const share = fishRoom.energy / kept.energy;
  return [['part of the fish room', '', about(whole) + words.percent(share)]];
}

/** As the utility writes it: each line rounded to the coin. */
const billLines = ({ lines, total }: Bill, words: Words): string[] =>
  inColumns([
    ...lines.map(({ name, energy, perKwh, amount }) => [
      short(name, LONGEST_NAME),
      energy === undefined ? '' : words.energy(energy),
      perKwh === undefined ? '' : words.price(perKwh),
      words.money(amount),
    ]),
    ['bill by the tariff', '', '', words.money(total)],
  ]);

function findings({ findings: all }: Reconciliation, words: Words): string[] {
  return all.flatMap((finding) => {
    const { says, details } = findingText(finding, words);
    return [
      ...wrapped(`${finding.code}: ${says}`, '', '  '),
      ...details.flatMap((detail) => wrapped(detail, '  ', '    ')),
    ];
  });
}
