import type { VNode } from 'preact';
import type { Instant } from '../units/index.ts';
import { orderAlerts, standingOf } from './alert-order.ts';
import { AlertActions } from './forms.tsx';
import { type Blindness, countAlerts } from './headline.ts';
import type { AlertView } from './room-view.ts';
import type { Words } from './words.ts';

/** What every alert in the room is shown with. */
interface Around {
  readonly now: Instant;
  readonly words: Words;
  readonly token: string;
}

/** What is wrong, the worst in full, then what to take care of while mending it. */
export function Alerts({
  headline,
  blind,
  alerts,
  around,
}: {
  headline: string;
  blind: Blindness | undefined;
  alerts: readonly AlertView[];
  around: Around;
}): VNode {
  const { full, lines, folded } = orderAlerts(alerts);
  return (
    <section aria-labelledby="wrong">
      <h2 id="wrong">{headline}</h2>
      {blind && (
        <div class="card alert warning">
          {blind.lines.map((line) => (
            <p key={line}>{line}</p>
          ))}
        </div>
      )}
      {full.length > 0 && (
        <div class="urgent">
          <div>
            {full.map((alert) => (
              <article class={`card alert ${alert.severity}`} key={alert.id}>
                <h3>
                  <Rank alert={alert} /> <bdi>{alert.text.title}</bdi>
                </h3>
                <Told alert={alert} {...around} />
                <AlertActions alert={alert} token={around.token} />
              </article>
            ))}
          </div>
          <Cautions lines={full.flatMap(({ text }) => text.cautions)} />
        </div>
      )}
      <Lines alerts={lines} around={around} />
      {folded.length > 0 && (
        <details class="fold">
          <summary>More: {countAlerts(folded)}</summary>
          <Lines alerts={folded} around={around} />
        </details>
      )}
    </section>
  );
}

export function Rank({ alert }: { alert: AlertView }): VNode {
  const standing = standingOf(alert);
  const answered = standing === 'open' ? '' : `, ${standing}`;
  return <span class={`rank ${alert.severity}`}>{`${alert.severity}${answered}`}</span>;
}

function Lines({ alerts, around }: { alerts: readonly AlertView[]; around: Around }): VNode {
  return (
    <>
      {alerts.map((alert) => (
        <details class="line" key={alert.id}>
          <summary>
            <Rank alert={alert} /> <bdi>{alert.text.title}</bdi>
          </summary>
          <Told alert={alert} {...around} />
          <AlertActions alert={alert} token={around.token} />
          <Cautions lines={alert.text.cautions} />
        </details>
      ))}
    </>
  );
}

/** The sentences that a watch puts first carry its case; what follows is for a second look. */
const MAIN_EVIDENCE = 2;

export function Told({
  alert,
  now,
  words,
}: {
  alert: AlertView;
  now: Instant;
  words: Words;
}): VNode {
  const { text } = alert;
  const rest = text.evidence.slice(MAIN_EVIDENCE);
  return (
    <>
      <p class="faint">{unbroken(text.since)}</p>
      <Answered alert={alert} now={now} words={words} />
      <p class="what">{unbroken(text.what)}</p>
      {text.evidence.slice(0, MAIN_EVIDENCE).map((line) => (
        <p key={line}>{unbroken(line)}</p>
      ))}
      {rest.length > 0 && <p class="faint">{unbroken(rest.join(' '))}</p>}
      {text.todo.length > 0 && (
        <>
          <p class="word">What to do now</p>
          <ol>
            {text.todo.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ol>
        </>
      )}
    </>
  );
}

/** What the keeper has said to it so far. */
function Answered({
  alert: { acknowledged, snoozedUntil },
  now,
  words,
}: {
  alert: AlertView;
  now: Instant;
  words: Words;
}): VNode | null {
  if (acknowledged !== undefined) return <p>Acknowledged {words.moment(acknowledged, now)}</p>;
  if (snoozedUntil === undefined) return null;
  return <p>Snoozed until {words.moment(snoozedUntil, now)}</p>;
}

export function Cautions({ lines }: { lines: readonly string[] }): VNode | null {
  if (lines.length === 0) return null;
  return (
    <div class="care">
      <p class="word">Take care</p>
      <ul>
        {[...new Set(lines)].map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </div>
  );
}

/** Keeps a number and its unit on one line. */
const unbroken = (text: string): string =>
  text.replace(/(\d) (?=(?:°[CF]|W|kWh|h|min|s|days)(?![\w°]))/g, '$1\u00A0');
