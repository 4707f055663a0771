import type { VNode } from 'preact';
import type { Known } from '../metering/index.ts';
import type { Millis } from '../units/index.ts';
import { Alerts } from './alert-cards.tsx';
import { DeviceTable } from './device-table.tsx';
import type { RoomView, SpanSums, Sum } from './room-view.ts';
import { TankCard, UpkeepCard } from './tank-card.tsx';
import type { Words } from './words.ts';

/** How each way of knowing is marked, everywhere on the pages. */
const KNOWN_WORDS: Readonly<Record<Known, string>> = {
  counted: 'counted by a meter',
  integrated: 'integrated from power',
  bridged: 'bridged over a gap',
  reckoned: 'reckoned, no plug',
};

export function RoomPage({ view, words }: { view: RoomView; words: Words }): VNode {
  return (
    <html lang={view.site.locale}>
      <head>
        <meta charSet="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta http-equiv="refresh" content={view.filling === undefined ? '15' : '3'} />
        <title>{pageTitle(view, words)}</title>
        <link rel="stylesheet" href="/style.css" />
        <link rel="icon" href="/mark.svg" type="image/svg+xml" />
      </head>
      <body>
        <a class="skip" href="#tanks">
          Skip to the tanks
        </a>
        <header>
          <h1>{view.site.name}</h1>
          <p class="faint">{asOf(view, words)}</p>
        </header>
        <main>
          {view.filling && <Filling filling={view.filling} words={words} />}
          <Alerts alerts={view.alerts} />
          <Figures totals={view.totals} words={words} />
          <HowKnown sum={view.totals.month} words={words} />
          <p class="faint">{rateLine(view, words)}</p>
          <h2 id="tanks">Tanks</h2>
          <div class="cards">
            {view.tanks.map((tank) => (
              <TankCard key={tank.id} tank={tank} words={words} />
            ))}
            <UpkeepCard sums={view.upkeep} words={words} />
          </div>
          <h2>Rooms</h2>
          <div class="cards">
            {view.rooms.map((room) => (
              <section class="card" key={room.id}>
                <h3>{room.name}</h3>
                <p>
                  {room.temperature
                    ? words.temperature(room.temperature.value)
                    : 'temperature unknown'}
                  {room.humidity && `, ${words.percent(room.humidity.value / 100)} humidity`}
                  {room.temperature?.stale && ' (old)'}
                </p>
              </section>
            ))}
          </div>
          <h2>Devices</h2>
          <DeviceTable devices={view.devices} totals={view.totals} words={words} />
        </main>
        <footer class="faint">
          <p>
            ampulla only observes: it never switches equipment. Keep the independent thermostat, and
            an RCD/GFCI on every circuit near water.
          </p>
        </footer>
      </body>
    </html>
  );
}

function pageTitle(view: RoomView, words: Words): string {
  const open = view.alerts.length;
  const cost = `${words.money(view.totals.today.cost)} today`;
  return open === 0 ? `${cost} · ${view.site.name}` : `(${open}) ${cost} · ${view.site.name}`;
}

function asOf(view: RoomView, words: Words): string {
  const parts = [words.dateAndClock(view.now)];
  if (!view.broker.connected) {
    parts.push(`no broker since ${words.dateAndClock(view.broker.since)}`);
  }
  parts.push(
    view.lastReading === undefined
      ? 'no reading yet'
      : `last reading ${words.clock(view.lastReading)}`,
  );
  return parts.join(' · ');
}

function rateLine(view: RoomView, words: Words): string {
  if (view.rate === undefined) return 'No tariff holds now: energy is counted, but has no price.';
  return `Rate now: ${view.rate.name}, ${words.price(view.rate.perKwh)}`;
}

function Filling({
  filling,
  words,
}: {
  filling: NonNullable<RoomView['filling']>;
  words: Words;
}): VNode {
  return (
    <section class="fill" aria-label="History">
      <label for="filling">
        Past weeks are being read in: {words.percent(filling.done)}, up to{' '}
        {words.dateAndClock(filling.until)}. Figures grow until then.
      </label>
      <progress id="filling" max="1" value={filling.done} />
    </section>
  );
}

function Figures({ totals, words }: { totals: SpanSums; words: Words }): VNode {
  return (
    <section class="figures" aria-label="Cost of all devices">
      <Figure name="Today" sum={totals.today} words={words} />
      <Figure name="This week" sum={totals.week} words={words} />
      <Figure name="This month" sum={totals.month} words={words} />
    </section>
  );
}

function Figure({ name, sum, words }: { name: string; sum: Sum; words: Words }): VNode {
  return (
    <div class="figure">
      <span class="faint">{name}</span>
      <b>{words.money(sum.cost)}</b>
      <span class="faint">{words.energy(sum.energy)}</span>
    </div>
  );
}

function HowKnown({ sum, words }: { sum: Sum; words: Words }): VNode {
  const total = sum.energy;
  const parts = (Object.keys(KNOWN_WORDS) as Known[]).filter((known) => sum.byKnown[known] !== 0);
  return (
    <p class="faint known">
      {total > 0 && <span>This month:</span>}
      {parts.map((known) => (
        <span key={known}>
          {words.percent(sum.byKnown[known] / total)} {KNOWN_WORDS[known]}
        </span>
      ))}
      <Gaps
        missing={sum.missing}
        unpriced={sum.unpriced > 0 ? words.energy(sum.unpriced) : ''}
        words={words}
      />
    </p>
  );
}

function Gaps({
  missing,
  unpriced,
  words,
}: {
  missing: Millis;
  unpriced: string;
  words: Words;
}): VNode {
  return (
    <>
      {missing > 0 && <span>{words.hours(missing)} of device time not covered</span>}
      {unpriced !== '' && <span>{unpriced} without a tariff</span>}
    </>
  );
}
