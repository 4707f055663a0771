import type { ComponentChildren, VNode } from 'preact';
import { alertAddress, tendingAddress } from './addresses.ts';
import { LONGEST_TENDING_MIN, type PageRequest, SNOOZES } from './asking.ts';
import type { AlertView, RoomView, TankView } from './room-view.ts';
import type { Words } from './words.ts';

/** Everything that is asked on the page is asked through this one form. */
function AskForm({
  token,
  doing,
  about,
  children,
}: {
  token: string;
  doing: PageRequest['do'];
  about: { readonly alert: string } | { readonly tank: string };
  children: ComponentChildren;
}): VNode {
  return (
    <form method="post" action="/requests">
      <input type="hidden" name="token" value={token} />
      <input type="hidden" name="do" value={doing} />
      {Object.entries(about).map(([name, id]) => (
        <input type="hidden" name={name} value={id} key={name} />
      ))}
      {children}
    </form>
  );
}

/** For those who listen: which of many equal buttons this is. */
function Of({ name }: { name: string }): VNode {
  return (
    <span class="unseen">
      {': '}
      <bdi>{name}</bdi>
    </span>
  );
}

/** What can be done about an alert from the room: both need no more than one press here. */
export function AlertActions({ alert, token }: { alert: AlertView; token: string }): VNode {
  const { title } = alert.text;
  return (
    <div class="actions">
      {alert.state !== 'acknowledged' && <SeenForm alert={alert} token={token} />}
      <a class="button" href={alertAddress(alert.id)}>
        Snooze
        <Of name={title} />
      </a>
    </div>
  );
}

export function SeenForm({ alert, token }: { alert: AlertView; token: string }): VNode {
  return (
    <AskForm token={token} doing="acknowledge" about={{ alert: alert.id }}>
      <button type="submit">
        I have seen it
        <Of name={alert.text.title} />
      </button>
    </AskForm>
  );
}

export function SnoozeForm({
  alert,
  token,
  view,
  words,
}: {
  alert: AlertView;
  token: string;
  view: RoomView;
  words: Words;
}): VNode {
  const names = {
    30: '30 min',
    120: '2 h',
    morning: `Until ${words.weekdayAndClock(view.morning)}`,
  };
  return (
    <AskForm token={token} doing="snooze" about={{ alert: alert.id }}>
      <div class="actions">
        {SNOOZES.map((length) => (
          <button type="submit" name="for" value={length} key={length}>
            {names[length]}
          </button>
        ))}
      </div>
    </AskForm>
  );
}

export function BeginTendingForm({
  tank,
  token,
  minutes,
}: {
  tank: TankView;
  token: string;
  minutes: number;
}): VNode {
  return (
    <AskForm token={token} doing="begin-tending" about={{ tank: tank.id }}>
      <div class="actions">
        <label for="minutes">Minutes from now</label>
        <input
          type="number"
          id="minutes"
          name="minutes"
          min={1}
          max={LONGEST_TENDING_MIN}
          step={1}
          value={Math.round(minutes)}
          required
        />
        <button type="submit">Begin tending</button>
      </div>
    </AskForm>
  );
}

/** On a tank's card: the way to the page that begins a tending, or the end of the one that runs. */
export function TendingActions({ tank, token }: { tank: TankView; token: string }): VNode {
  return (
    <div class="actions">
      {tank.tending && <EndTendingForm tank={tank} token={token} />}
      <a class="button" href={tendingAddress(tank.id)}>
        {tank.tending ? 'Tend longer' : 'Begin tending'}
        <Of name={tank.name} />
      </a>
    </div>
  );
}

export function EndTendingForm({ tank, token }: { tank: TankView; token: string }): VNode {
  return (
    <AskForm token={token} doing="end-tending" about={{ tank: tank.id }}>
      <button type="submit">
        End now
        <Of name={tank.name} />
      </button>
    </AskForm>
  );
}
