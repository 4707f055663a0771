import type { VNode } from 'preact';
import { orderAlerts } from './alert-order.ts';
import { type Blindness, countAlerts } from './headline.ts';
import type { AlertView } from './room-view.ts';

/** What is wrong, the worst in full, then what to take care of while mending it. */
export function Alerts({
  headline,
  blind,
  alerts,
}: {
  headline: string;
  blind: Blindness | undefined;
  alerts: readonly AlertView[];
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
                <Told alert={alert} />
              </article>
            ))}
          </div>
          <Cautions lines={full.flatMap(({ text }) => text.cautions)} />
        </div>
      )}
      <Lines alerts={lines} />
      {folded.length > 0 && (
        <details class="fold">
          <summary>More: {countAlerts(folded)}</summary>
          <Lines alerts={folded} />
        </details>
      )}
    </section>
  );
}

function Rank({ alert }: { alert: AlertView }): VNode {
  const acknowledged = alert.state === 'acknowledged' ? ', acknowledged' : '';
  return <span class={`rank ${alert.severity}`}>{`${alert.severity}${acknowledged}`}</span>;
}

function Lines({ alerts }: { alerts: readonly AlertView[] }): VNode {
  return (
    <>
      {alerts.map((alert) => (
        <details class="line" key={alert.id}>
          <summary>
            <Rank alert={alert} /> <bdi>{alert.text.title}</bdi>
          </summary>
          <Told alert={alert} />
          <Cautions lines={alert.text.cautions} />
        </details>
      ))}
    </>
  );
}

/** The sentences that a watch puts first carry its case; what follows is for a second look. */
const MAIN_EVIDENCE = 2;

function Told({ alert: { text } }: { alert: AlertView }): VNode {
  const rest = text.evidence.slice(MAIN_EVIDENCE);
  return (
    <>
      <p class="faint">{unbroken(text.since)}</p>
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

function Cautions({ lines }: { lines: readonly string[] }): VNode | null {
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
