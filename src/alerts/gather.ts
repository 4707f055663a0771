import type { Alert } from './alert.ts';
import { type Change, isWorse, type Why } from './trouble.ts';

/** One change of one alert that the keeper is to hear of. */
export interface News {
  readonly alert: Alert;
  readonly change: Change;
  readonly why: Why;
  readonly room: string | undefined;
  readonly tank: string | undefined;
}

/** One message to the keeper: about an alert, and about others that belong to the same event. */
export interface Telling {
  readonly change: Change;
  readonly alert: Alert;
  readonly also: readonly Alert[];
  readonly why: Why;
  readonly room: string | undefined;
}

/**
 * Thin grouping, within one round of looks only: sources that fall silent (or come back) in one
 * room make one message, and so do a heater's fault and what it does to its tank's water.
 * The order of `news` is kept; a message stands where its first alert stood.
 */
export function gather(news: readonly News[]): Telling[] {
  const groups = new Map<string, News[]>();
  for (const item of news) {
    const key = eventOf(item);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [item]);
    else group.push(item);
  }
  return [...groups.values()].map(tellingOf);
}

function eventOf({ alert, change, room, tank }: News): string {
  const { watch, subject } = alert;
  const ownTank = subject.kind === 'tank' ? subject.id : tank;
  switch (watch) {
    case 'plug-silent':
    case 'probe-silent':
      return room === undefined ? alert.id : `${change} silent ${room}`;
    case 'heater-stuck-on':
    case 'tank-too-warm':
      return ownTank === undefined ? alert.id : `${change} warm ${ownTank}`;
    case 'heater-not-heating':
    case 'tank-too-cold':
      return ownTank === undefined ? alert.id : `${change} cold ${ownTank}`;
    default:
      return alert.id;
  }
}

function tellingOf(group: readonly News[]): Telling {
  const [lead, ...also] = [...group].sort(leadFirst) as [News, ...News[]];
  return {
    change: lead.change,
    alert: lead.alert,
    also: also.map((item) => item.alert),
    why: lead.why,
    room: lead.room,
  };
}

/** The worst leads; among equals the id decides, by which a heater stands before its tank. */
function leadFirst({ alert: a }: News, { alert: b }: News): number {
  if (isWorse(a.severity, b.severity)) return -1;
  if (isWorse(b.severity, a.severity)) return 1;
  return a.id < b.id ? -1 : 1;
}
