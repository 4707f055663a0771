import type { VNode } from 'preact';
import type { AlertView } from './room-view.ts';

export function Alerts({ alerts }: { alerts: readonly AlertView[] }): VNode {
  if (alerts.length === 0) return <p>No open alerts.</p>;
  return (
    <section aria-label="Open alerts">
      {alerts.map((alert) => (
        <article class={`card alert ${alert.severity}`} key={alert.id}>
          <h3>{alert.text.title}</h3>
          <p class="faint">
            <span class="word">{alert.severity}</span>
            {alert.state === 'acknowledged' && ', acknowledged'} · {alert.text.since}
          </p>
          {alert.text.evidence.map((line) => (
            <p key={line}>{line}</p>
          ))}
          <Lines
            title="What to do now"
            lines={alert.text.todo}
            open={alert.severity !== 'notice'}
          />
          <Lines title="Take care" lines={alert.text.cautions} open={false} />
        </article>
      ))}
    </section>
  );
}

function Lines({
  title,
  lines,
  open,
}: {
  title: string;
  lines: readonly string[];
  open: boolean;
}): VNode | null {
  if (lines.length === 0) return null;
  return (
    <details open={open}>
      <summary class="word">{title}</summary>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </details>
  );
}
