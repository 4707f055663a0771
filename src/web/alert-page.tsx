import type { VNode } from 'preact';
import { Cautions, Rank, Told } from './alert-cards.tsx';
import { SeenForm, SnoozeForm } from './forms.tsx';
import { SmallPage } from './page-frame.tsx';
import { plain } from './plain.ts';
import type { AlertView, RoomView } from './room-view.ts';
import type { Words } from './words.ts';

/** One alert, and what a keeper can say to it. It does not renew itself: it may be read in peace. */
export function AlertPage({
  alert,
  view,
  words,
  token,
}: {
  alert: AlertView;
  view: RoomView;
  words: Words;
  token: string;
}): VNode {
  const { text, severity, state } = alert;
  return (
    <SmallPage
      title={plain(text.title)}
      heading={
        <>
          <Rank alert={alert} /> <bdi>{text.title}</bdi>
        </>
      }
    >
      <div class={`card alert ${severity}`}>
        <Told alert={alert} now={view.now} words={words} />
      </div>
      {state !== 'acknowledged' && (
        <section aria-labelledby="seen">
          <h2 id="seen">Acknowledge</h2>
          <p>Nothing more is told of it but its worsening and its end.</p>
          <SeenForm alert={alert} token={token} />
        </section>
      )}
      <section aria-labelledby="snooze">
        <h2 id="snooze">Snooze</h2>
        <p>
          Nothing is told of it until then{' '}
          {severity === 'critical' ? 'but its end' : 'but its end, or that it has become critical'}.
          If it still goes on, it is told again.
        </p>
        {state === 'acknowledged' && <p>This takes the acknowledgment back.</p>}
        <SnoozeForm alert={alert} token={token} view={view} words={words} />
      </section>
      <Cautions lines={text.cautions} />
    </SmallPage>
  );
}
