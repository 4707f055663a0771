import type { VNode } from 'preact';
import type { Known } from '../metering/index.ts';
import { Cost } from './cost.tsx';
import type { RoomView, SpanSums, Sum } from './room-view.ts';
import { energyText } from './sums.ts';
import type { Words } from './words.ts';

/** How each way of knowing is told, everywhere on the pages. */
const KNOWN_WORDS: Readonly<Record<Known, string>> = {
  counted: 'counted by a meter',
  integrated: 'integrated from power',
  bridged: 'bridged over a gap',
  reckoned: 'reckoned, no plug',
};

/** What the whole site costs, and how that is known. */
export function Figures({ view, words }: { view: RoomView; words: Words }): VNode {
  const { today, week, month } = view.totals;
  return (
    <section aria-labelledby="cost">
      <h2 id="cost">Cost of all devices</h2>
      <div class="figures">
        <Figure name="Today" sum={today} words={words} />
        <Figure name="This week" sum={week} words={words} />
        <Figure name="This month" sum={month} words={words} />
      </div>
      <HowKnown sum={month} words={words} />
      <p class="faint">{rateLine(view, words)}</p>
      <Besides view={view} words={words} />
    </section>
  );
}

/** Today, week and month of one tank, side by side. */
export function Sums({ sums, words }: { sums: SpanSums; words: Words }): VNode {
  return (
    <div class="sums">
      {(['today', 'week', 'month'] as const).map((span) => (
        <p key={span}>
          <span class="faint">{span} </span>
          <b>
            <Cost sum={sums[span]} words={words} />
          </b>{' '}
          <span class="faint">{energyText(sums[span], words)}</span>
        </p>
      ))}
    </div>
  );
}

function Figure({ name, sum, words }: { name: string; sum: Sum; words: Words }): VNode {
  return (
    <p class="figure">
      <span class="faint">{name} </span>
      <b>
        <Cost sum={sum} words={words} />
      </b>{' '}
      <span class="faint">{energyText(sum, words)}</span>
    </p>
  );
}

function HowKnown({ sum, words }: { sum: Sum; words: Words }): VNode | null {
  const ways = (Object.keys(KNOWN_WORDS) as Known[]).filter((known) => sum.byKnown[known] !== 0);
  const parts = [
    ...(sum.energy > 0
      ? ways.map((known) => {
          return `${words.percent(sum.byKnown[known] / sum.energy)} ${KNOWN_WORDS[known]}`;
        })
      : []),
    ...(sum.missing > 0
      ? [`nothing known of ${words.length(sum.missing)}, all devices together`]
      : []),
    ...(sum.unpriced !== 0 ? [`${words.energy(sum.unpriced)} without a price`] : []),
  ];
  return parts.length === 0 ? null : <p class="faint">This month: {parts.join('; ')}.</p>;
}

function rateLine({ rate }: RoomView, words: Words): VNode {
  if (rate === undefined) {
    return <>No tariff holds now: energy is counted, but has no price.</>;
  }
  return (
    <>
      Rate now: <bdi>{rate.name}</bdi>,{' '}
      {rate.perKwh === undefined ? 'its price is not known' : words.price(rate.perKwh)}
      {rate.provisional && ', so far'}
    </>
  );
}

/** What the figures leave out, and how they may change. */
function Besides({ view, words }: { view: RoomView; words: Words }): VNode | null {
  const { standing, provisional, otherwise, tonight } = view;
  const lines = [
    ...(tonight === undefined
      ? []
      : [
          `Heating tonight: about ${words.money(tonight.cost)}, reckoned for ${words.count(tonight.tanks)} ${tonight.tanks === 1 ? 'tank' : 'tanks'}.`,
        ]),
    ...(provisional
      ? ['Prices go by how much the billing month has used; they settle when it is over.']
      : []),
    ...(otherwise === undefined
      ? []
      : [`${OTHERWISE[otherwise.at]}, this month is ${words.money(otherwise.month)}.`]),
    ...(standing === 0
      ? []
      : [`Standing charges of this month, ${words.money(standing)}, are not in these figures.`]),
  ];
  return lines.length === 0 ? null : <p class="faint">{lines.join(' ')}</p>;
}

const OTHERWISE = {
  average: 'At the average price of the house',
  marginal: 'At the price of what comes on top of the rest of the house',
};
