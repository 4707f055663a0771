import type { VNode } from 'preact';
import type { TonightView } from './room-view.ts';
import type { Words } from './words.ts';

/** 'Heating tonight about $0.84 ($0.70 to $0.98), 4.1 kWh; as learned over 20 days'. */
export function TonightLine({ tonight, words }: { tonight: TonightView; words: Words }): VNode {
  const { energy, cost, learnedDays, offBy } = tonight;
  return (
    <p class="faint">
      Heating tonight about{' '}
      {cost === undefined ? (
        <>
          <span class="whole">{words.energy(energy)}</span>, not all of it priced yet
        </>
      ) : (
        <>
          <b class="whole">{words.money(cost.value)}</b>{' '}
          <span class="whole">
            ({words.money(cost.low)} to {words.money(cost.high)})
          </span>
          , <span class="whole">{words.energy(energy)}</span>
        </>
      )}
      ; reckoned{' '}
      {learnedDays === undefined
        ? 'from the tank’s size'
        : `as learned over ${words.count(learnedDays)} days`}
      {offBy !== undefined && `, usually off by ${words.percent(offBy)}`}
    </p>
  );
}
