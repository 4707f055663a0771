import type { ComponentChildren, VNode } from 'preact';
import { Alerts } from './alert-cards.tsx';
import type { PageAnswer } from './asking.ts';
import { DeviceTable } from './device-table.tsx';
import { Figures } from './figures.tsx';
import { asOf, blindness, headline, pageTitle } from './headline.ts';
import { urgentFirst } from './kept-range.ts';
import { PageFrame } from './page-frame.tsx';
import { plain } from './plain.ts';
import type { RoomAir, RoomView } from './room-view.ts';
import { Said, sentenceOf } from './said.tsx';
import { TankCard, TemperatureSummary, UpkeepCard } from './tank-card.tsx';
import type { Words } from './words.ts';

/** The first page. A `still` one does not renew itself, so that all of it can be read in peace. */
export function RoomPage({
  view,
  words,
  token,
  answer,
  still = false,
}: {
  view: RoomView;
  words: Words;
  /** What a form must carry to be heeded. */
  token: string;
  /** To what the reader has just asked. */
  answer?: PageAnswer | undefined;
  still?: boolean;
}): VNode {
  const blind = blindness(view, words);
  const renewal = renewalOf(view, answer !== undefined);
  const title = pageTitle(view, words);
  return (
    <PageFrame
      title={answer === undefined ? title : `${plain(sentenceOf(answer))} · ${title}`}
      renewal={still ? undefined : renewal.seconds}
    >
      <a class="skip" href="#tanks">
        Skip to the tanks
      </a>
      <header>
        <h1>
          <bdi>{view.site.name}</bdi>
        </h1>
        <p class="faint">
          {asOf(view, words)} ·{' '}
          {still ? (
            <>
              held still; <a href="/">let it renew</a>
            </>
          ) : (
            <>
              renews {renewal.words}; <a href="/?still">hold it still</a>
            </>
          )}
        </p>
      </header>
      <main>
        {answer && <Said answer={answer} />}
        {view.filling && <Filling filling={view.filling} words={words} />}
        {view.repricing !== undefined && <Repricing done={view.repricing} words={words} />}
        <Alerts
          headline={headline(view, blind)}
          blind={blind}
          alerts={view.alerts}
          around={{ now: view.now, words, token }}
        />
        <TemperatureSummary tanks={view.tanks} />
        <Figures view={view} words={words} />
        <section aria-labelledby="tanks">
          <h2 id="tanks" tabIndex={-1}>
            Tanks
          </h2>
          {view.tanks.length === 0 && <p>No tank is configured yet.</p>}
          <div class="cards">
            {urgentFirst(view.tanks).map((tank) => (
              <TankCard key={tank.id} tank={tank} now={view.now} words={words} token={token} />
            ))}
            <UpkeepCard sums={view.upkeep} words={words} />
          </div>
        </section>
        {view.rooms.length > 0 && <Rooms rooms={view.rooms} words={words} />}
        <section aria-labelledby="devices">
          <h2 id="devices">Devices</h2>
          {view.devices.length === 0 ? (
            <p>No device is configured yet, so there is nothing to count.</p>
          ) : (
            <DeviceTable devices={view.devices} all={still} totals={view.totals} words={words} />
          )}
        </section>
      </main>
    </PageFrame>
  );
}

/** While something is wrong there is more to read, and to open: give it time. */
function renewalOf(
  view: RoomView,
  isAnswer: boolean,
): { readonly seconds: number; readonly words: string } {
  if (view.filling !== undefined && !isAnswer) return { seconds: 3, words: 'every 3 s' };
  return view.alerts.length > 0 || isAnswer
    ? { seconds: 60, words: 'every minute' }
    : { seconds: 15, words: 'every 15 s' };
}

function Repricing({ done, words }: { done: number; words: Words }): VNode {
  return (
    <Progress id="repricing" name="New prices" done={done}>
      Tariffs or shares of past days have changed: {words.percent(done)} priced anew (until all of
      it is, costs stay as they were)
    </Progress>
  );
}

function Filling({
  filling,
  words,
}: {
  filling: NonNullable<RoomView['filling']>;
  words: Words;
}): VNode {
  return (
    <Progress id="filling" name="History" done={filling.done}>
      Past weeks are being read in: {words.percent(filling.done)} so far, up to{' '}
      {words.dateAndClock(filling.until)} (figures still grow)
    </Progress>
  );
}

function Progress({
  id,
  name,
  done,
  children,
}: {
  id: string;
  name: string;
  done: number;
  children: ComponentChildren;
}): VNode {
  return (
    <section class="fill" aria-label={name}>
      <label for={id}>{children}</label>
      <progress id={id} max="1" value={done} />
    </section>
  );
}

function Rooms({ rooms, words }: { rooms: readonly RoomAir[]; words: Words }): VNode {
  return (
    <section aria-labelledby="rooms">
      <h2 id="rooms">Rooms</h2>
      <ul class="rooms card">
        {rooms.map((room) => (
          <li key={room.id}>
            <bdi>{room.name}</bdi> <span>{airOf(room, words)}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function airOf({ temperature, humidity }: RoomAir, words: Words): string {
  const old = (measured: { at: RoomView['now']; stale: boolean }): string =>
    measured.stale ? ` (old, ${words.dateAndClock(measured.at)})` : '';
  return [
    temperature === undefined
      ? 'temperature unknown'
      : `${words.temperature(temperature.value)}${old(temperature)}`,
    ...(humidity === undefined
      ? []
      : [`${words.percent(humidity.value / 100)} humidity${old(humidity)}`]),
  ].join(', ');
}
