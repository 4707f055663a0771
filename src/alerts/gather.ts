import type { Instant } from '../units/index.ts';
import type { Alert } from './alert.ts';
import type { Because } from './story.ts';
import type { AfterTendingReason } from './tending.ts';
import { type Change, isWorse, type Why } from './trouble.ts';

/** One change of one alert that the keeper is to hear of. */
export interface News {
  readonly alert: Alert;
  readonly change: Change;
  readonly why: Why | Because;
  readonly room: string | undefined;
  readonly tank: string | undefined;
}

/** One message to the keeper: about an alert, and about others that belong to the same event. */
export interface Telling {
  readonly change: Change;
  readonly alert: Alert;
  readonly also: readonly Alert[];
  readonly why: Why | Because;
  readonly room: string | undefined;
  /** Names of the channels that are to hear it; all where not said. */
  readonly to?: readonly string[];
  /** When, for what can be told more than once of the same alert. */
  readonly occasion?: Instant;
  /** A summary counts these: they settled before it was time to tell of them. */
  readonly settled?: readonly Alert[];
}

/**
 * One message for one event: sources that fall silent (or come back) in one
 * room make one message, and so do a heater's fault and what it does to its tank's water.
 * The order of `news` is kept; a message stands where its first alert stood.
 */
export function gather<Item extends News>(
  news: readonly Item[],
): (Telling & { readonly items: readonly Item[] })[] {
  const groups = new Map<string, Item[]>();
  for (const item of news) {
    const key = eventOf(item);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [item]);
    else group.push(item);
  }
  return [...groups.values()].map(tellingOf);
}

/** News with the same text belong to one event. */
export function eventOf({ alert, change, room, tank }: News): string {
  const { subject } = alert;
  if (change === 'repeated') return change;
  const kind = kindOf(alert);
  const place = kind === 'silent' ? room : subject.kind === 'tank' ? subject.id : tank;
  return kind === undefined || place === undefined ? alert.id : `${change} ${kind} ${place}`;
}

/** What happens to a room or a tank, as far as several watches may tell of it. */
function kindOf(alert: Alert): 'silent' | 'warm' | 'cold' | undefined {
  if (isPowerCut(alert)) return 'silent';
  switch (alert.watch) {
    case 'plug-silent':
    case 'probe-silent':
      return 'silent';
    case 'heater-stuck-on':
    case 'tank-too-warm':
      return 'warm';
    case 'heater-not-heating':
    case 'tank-too-cold':
      return 'cold';
    case 'after-tending':
      return WHAT_IS_LEFT_OFF[alert.reason];
    default:
      return undefined;
  }
}

/** A reminder goes along with what tells of the same device. */
const WHAT_IS_LEFT_OFF: Readonly<Record<string, 'silent' | 'cold'>> = {
  'heater-off': 'cold',
  'plug-away': 'silent',
  'probe-away': 'silent',
} satisfies Partial<Record<AfterTendingReason, 'silent' | 'cold'>>;

/** The name is of the watches' list. */
export const isPowerCut = ({ watch }: Pick<Alert, 'watch'>): boolean =>
  (watch as string) === 'power-cut';

function tellingOf<Item extends News>(group: readonly Item[]) {
  const items = [...group].sort(leadFirst) as [Item, ...Item[]];
  const [lead, ...also] = items;
  return {
    change: lead.change,
    alert: lead.alert,
    also: also.map((item) => item.alert),
    why: lead.why,
    room: lead.room,
    items,
  };
}

/** The worst leads; among equals the id decides, by which a heater stands before its tank. */
export function leadFirst({ alert: a }: News, { alert: b }: News): number {
  if (isWorse(a.severity, b.severity)) return -1;
  if (isWorse(b.severity, a.severity)) return 1;
  if (isPowerCut(a) !== isPowerCut(b)) return isPowerCut(a) ? -1 : 1;
  return a.id < b.id ? -1 : 1;
}
