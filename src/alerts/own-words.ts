import type { AlertWatch } from './alert.ts';
import type { AfterTendingReason } from './tending.ts';
import { WORDS } from './words/index.ts';
import { type Told, type WatchWords, worded } from './words/told.ts';

const LEFT: Readonly<Record<AfterTendingReason, string>> = {
  'heater-off': 'a heater draws nothing although it is cold',
  'plug-away': 'a plug is not heard',
  'probe-away': 'a probe is not heard',
  'all-back': 'everything seems back on',
  'nothing-to-go-by': 'nothing can be seen of it',
};

const afterTending: WatchWords = {
  title: () => 'Tending over, something still off',
  what: (told) =>
    `Is everything back on? The tending of ${told.subject} is over, but ${LEFT[told.alert.reason as AfterTendingReason] ?? 'something is still off'}.`,
  evidence: () => [],
  todo: ({ subject }) => [
    `Look at ${subject}: heaters, pumps and air on, probes back in their places.`,
    'Before a heater goes back on, see that it is under water as its maker says.',
    'If you are still at work, begin the tending again.',
  ],
  cautions: ['unplugFirst', 'wetSocket', 'hotHeater', 'residualCurrent', 'dripLoop', 'electrician'],
  after: () => [],
};

const channelFailed: WatchWords = {
  title: () => 'Alerts do not get through',
  what: ({ subject }: Told) =>
    `Nothing gets through on the channel ${subject}. What it should have told waits and is tried again.`,
  evidence(told) {
    const failing = worded(told, 'failing-for');
    return [failing && `It has failed for ${failing}.`];
  },
  todo: () => [
    'Check the network, and whether the service behind this channel runs and still takes messages.',
    'Send a test message; the log says what went wrong.',
    'Until it works again, look here more often: you may hear of a trouble late.',
  ],
  cautions: [],
  after: () => [],
};

/** The words of every alert: those of the watches, and of what the alerts themselves notice. */
export function wordsOf(watch: AlertWatch): WatchWords {
  if (watch === 'after-tending') return afterTending;
  if (watch === 'channel-failed') return channelFailed;
  return WORDS[watch];
}
