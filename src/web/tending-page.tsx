import type { VNode } from 'preact';
import { Cautions } from './alert-cards.tsx';
import { BeginTendingForm, EndTendingForm } from './forms.tsx';
import { SmallPage } from './page-frame.tsx';
import { plain } from './plain.ts';
import type { RoomView, TankView } from './room-view.ts';
import { TendedUntil } from './tended.tsx';
import type { Words } from './words.ts';

const CAUTIONS = [
  'Tending is no safety, and switches nothing off: before hands go into the tank, unplug everything in it. Do not trust a switch.',
  'Too much heat is told all the same: too warm, a heater stuck on, a mat overheating.',
];
const CAUTIONS_IN_WATER = [
  'Heater off and cooled before the water level drops.',
  'Never put a hot heater back into water.',
];

/** Where a tending begins and ends. It does not renew itself: what is half filled in stays. */
export function TendingPage({
  tank,
  view,
  words,
  token,
}: {
  tank: TankView;
  view: RoomView;
  words: Words;
  token: string;
}): VNode {
  return (
    <SmallPage
      title={`Tending: ${plain(tank.name)}`}
      heading={
        <>
          Tending: <bdi>{tank.name}</bdi>
        </>
      }
    >
      <p>
        While you work on a tank, what is off, away or changing there is not told. It ends by
        itself; what is still off soon after is told.
      </p>
      <Cautions lines={[...CAUTIONS, ...(tank.isDry ? [] : CAUTIONS_IN_WATER)]} />
      {tank.tending && (
        <section aria-labelledby="running">
          <h2 id="running">Now</h2>
          <TendedUntil tending={tank.tending} now={view.now} words={words} />
          <EndTendingForm tank={tank} token={token} />
        </section>
      )}
      <section aria-labelledby="begin">
        <h2 id="begin">{tank.tending ? 'Longer' : 'Begin'}</h2>
        <BeginTendingForm tank={tank} token={token} minutes={view.tendingMinutes} />
      </section>
    </SmallPage>
  );
}
