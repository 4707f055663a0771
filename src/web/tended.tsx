import type { VNode } from 'preact';
import type { RoomView, TankView } from './room-view.ts';
import type { Words } from './words.ts';

const BY: ReadonlyMap<string, string> = new Map([
  ['page', 'on the page'],
  ['command', 'by command'],
  ['mqtt', 'over MQTT'],
]);

/** Until when a tank is being tended, and who said so. */
export function TendedUntil({
  tending: { since, until, by },
  now,
  words,
}: {
  tending: NonNullable<TankView['tending']>;
  now: RoomView['now'];
  words: Words;
}): VNode {
  return (
    <p>
      <span class="word">being tended</span> until {words.moment(until, now)}; begun{' '}
      {words.moment(since, now)} {BY.get(by)}
    </p>
  );
}
