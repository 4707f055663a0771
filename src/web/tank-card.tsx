import type { VNode } from 'preact';
import type { SpanSums, TankView } from './room-view.ts';
import { costText } from './sums.ts';
import { type Fit, fitOf, position, type Words } from './words.ts';

const FIT_WORDS: Readonly<Record<Fit, string>> = {
  unknown: 'not heard yet',
  stale: 'old reading',
  below: 'below the kept range',
  within: 'within the kept range',
  above: 'above the kept range',
};

/** Degrees shown beyond either end of the kept range. */
const MARGIN = 3;

export function TankCard({ tank, words }: { tank: TankView; words: Words }): VNode {
  const fit = fitOf(tank.temperature, tank.keep);
  const kept = `${words.temperature(tank.keep.min)} to ${words.temperature(tank.keep.max)}`;
  return (
    <section class={`card ${fit}`}>
      <div class="tank-head">
        <h3>{tank.name}</h3>
        <span class="degrees">
          {tank.temperature === undefined
            ? tank.hasProbe
              ? 'not heard yet'
              : 'no probe'
            : words.temperature(tank.temperature.value)}
        </span>
      </div>
      {tank.animals !== undefined && <p class="faint">{tank.animals}</p>}
      <Scale tank={tank} />
      <p class="faint">
        kept {kept}
        {tank.temperature !== undefined && (
          <>
            {'; '}
            <span class={fit === 'within' ? '' : 'word'}>{FIT_WORDS[fit]}</span>
            {fit === 'stale' && `, ${words.dateAndClock(tank.temperature.at)}`}
          </>
        )}
      </p>
      <Sums sums={tank.sums} words={words} />
    </section>
  );
}

/** What belongs to the site and to no tank. */
export function UpkeepCard({ sums, words }: { sums: SpanSums; words: Words }): VNode {
  return (
    <section class="card">
      <div class="tank-head">
        <h3>Upkeep</h3>
      </div>
      <p class="faint">what serves the place and no tank</p>
      <Sums sums={sums} words={words} />
    </section>
  );
}

function Sums({ sums, words }: { sums: SpanSums; words: Words }): VNode {
  return (
    <div class="sums">
      {(['today', 'week', 'month'] as const).map((span) => (
        <div key={span}>
          <span class="faint">{span}</span>
          <b>{costText(sums[span], words)}</b>
          <span class="faint">{words.energy(sums[span].energy)}</span>
        </div>
      ))}
    </div>
  );
}

function Scale({ tank }: { tank: TankView }): VNode {
  const low = tank.keep.min - MARGIN;
  const high = tank.keep.max + MARGIN;
  const at = (value: number): number => 2 + 96 * position(value, low, high);
  return (
    <svg class="scale" viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">
      <line class="track" x1="2" x2="98" y1="6" y2="6" />
      <line class="keep" x1={at(tank.keep.min)} x2={at(tank.keep.max)} y1="6" y2="6" />
      {tank.temperature !== undefined && !tank.temperature.stale && (
        <rect class="mark" x={at(tank.temperature.value) - 0.7} y="0" width="1.4" height="12" />
      )}
    </svg>
  );
}
