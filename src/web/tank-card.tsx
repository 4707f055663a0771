import type { VNode } from 'preact';
import { Sums } from './figures.tsx';
import { TendingActions } from './forms.tsx';
import { byFit, type Fit, fitOf, isCurrent, position } from './kept-range.ts';
import type { RoomView, SpanSums, TankView } from './room-view.ts';
import { TendedUntil } from './tended.tsx';
import { TonightLine } from './tonight.tsx';
import type { Words } from './words.ts';

/** Degrees shown beyond either end of the kept range. */
const MARGIN = 3;

export function TankCard({
  tank,
  now,
  words,
  token,
}: {
  tank: TankView;
  now: RoomView['now'];
  words: Words;
  token: string;
}): VNode {
  const fit = fitOf(tank);
  return (
    <section class={`card ${fit}`}>
      <div class="tank-head">
        <h3>
          <bdi>{tank.name}</bdi>
        </h3>
        <span class="degrees">
          {tank.temperature === undefined
            ? fit === 'unprobed'
              ? 'no probe'
              : 'not heard yet'
            : words.temperature(tank.temperature.value)}
        </span>
      </div>
      {tank.animals !== undefined && (
        <p class="faint">
          <bdi>{tank.animals}</bdi>
        </p>
      )}
      <Scale tank={tank} />
      <p class="faint">
        <KeptLine tank={tank} fit={fit} words={words} />
      </p>
      <Sums sums={tank.sums} words={words} />
      {tank.tonight && <TonightLine tonight={tank.tonight} words={words} />}
      {tank.tending && (
        <>
          <TendedUntil tending={tank.tending} now={now} words={words} />
          <p>Too much heat is told all the same. Unplug first; do not trust a switch.</p>
        </>
      )}
      <TendingActions tank={tank} token={token} />
    </section>
  );
}

function KeptLine({ tank, fit, words }: { tank: TankView; fit: Fit; words: Words }): VNode {
  const range = <span class="whole">{words.range(tank.keep)}</span>;
  switch (fit) {
    case 'above':
    case 'below':
      return (
        <>
          <span class="word out">{fit}</span> the kept {range}
        </>
      );
    case 'within':
      return <>within the kept {range}</>;
    case 'stale':
      return (
        <>
          <span class="word">old reading</span>
          {tank.temperature && `, ${words.dateAndClock(tank.temperature.at)}`}; to be kept at{' '}
          {range}
        </>
      );
    default:
      return <>to be kept at {range}</>;
  }
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

const GROUP_WORDS: Readonly<Record<Fit, string>> = {
  above: 'Above the kept range',
  below: 'Below the kept range',
  stale: 'Old reading',
  unknown: 'Not heard yet',
  unprobed: 'No probe',
  within: 'Within the kept range',
};
/** As many names as stand in one line. */
const MOST_NAMES = 4;

/** All tanks in a few lines: who is tended or out of range, by name; the rest as a number. */
export function TemperatureSummary({ tanks }: { tanks: readonly TankView[] }): VNode {
  const tended = tanks.filter(({ tending }) => tending !== undefined);
  return (
    <ul class="summary">
      {tended.length > 0 && (
        <li>
          <span class="word">Being tended</span>: <Names tanks={tended} />
        </li>
      )}
      {[...byFit(tanks)].map(([fit, group]) => (
        <li key={fit}>
          {fit === 'above' || fit === 'below' ? (
            <span class="word out">{GROUP_WORDS[fit]}</span>
          ) : (
            GROUP_WORDS[fit]
          )}
          :{' '}
          {fit === 'within' ? (
            `${group.length} of ${tanks.length} ${tanks.length === 1 ? 'tank' : 'tanks'}`
          ) : (
            <Names tanks={group} />
          )}
        </li>
      ))}
    </ul>
  );
}

function Names({ tanks }: { tanks: readonly TankView[] }): VNode {
  const rest = tanks.length - MOST_NAMES;
  const named = rest > 0 ? tanks.slice(0, MOST_NAMES) : tanks;
  return (
    <>
      {named.map(({ id, name }, index) => (
        <span key={id}>
          {index > 0 && ', '}
          <bdi>{name}</bdi>
        </span>
      ))}
      {rest > 0 && ` and ${rest} more`}
    </>
  );
}

function Scale({ tank }: { tank: TankView }): VNode {
  const low = tank.keep.min - MARGIN;
  const high = tank.keep.max + MARGIN;
  const at = (value: number): string => (2 + 96 * position(value, low, high)).toFixed(1);
  return (
    <svg class="scale" viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">
      <line class="track" x1="2" x2="98" y1="6" y2="6" />
      <line class="keep" x1={at(tank.keep.min)} x2={at(tank.keep.max)} y1="6" y2="6" />
      {isCurrent(tank.temperature) && (
        <line
          class="mark"
          x1={at(tank.temperature.value)}
          x2={at(tank.temperature.value)}
          y1="0"
          y2="12"
        />
      )}
    </svg>
  );
}
