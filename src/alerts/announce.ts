import type { Calendar, Instant } from '../units/index.ts';
import type { Alert } from './alert.ts';
import { troubleKeyOf } from './alert-id.ts';
import type { Recipient } from './delivery.ts';
import { eventOf, gather, leadFirst, type News, type Telling } from './gather.ts';
import type { AlertMemory, Trouble } from './memory.ts';
import { type Because, type Heard, isAbout, type Owed, owed, type Story } from './story.ts';
import { isQuiet, type TellingRules } from './telling-rules.ts';

/** What was decided about one alert and one channel. */
export interface Decision {
  readonly alert: string;
  readonly to: string;
  readonly did: 'told' | 'held' | 'counted';
  readonly why: Because;
}

export interface Announcement {
  /** The very same object when nothing is worth storing. */
  readonly memory: AlertMemory;
  /** Each names in `to` who is to hear it. */
  readonly tell: readonly Telling[];
  readonly decisions: readonly Decision[];
}

export interface Circumstances {
  readonly recipients: readonly Recipient[];
  readonly rules: TellingRules;
  readonly calendar: Pick<Calendar, 'local'>;
  readonly now: Instant;
}

/**
 * Says who hears of what, and when: waits for others of the same event, escalates, repeats, and
 * holds back in quiet hours. Call it after every judgment, with its news and its memory, also when
 * there is no news: time alone makes things due. Pure and repeatable. Store its memory and the
 * deliveries of `tell` in one transaction: then a restart tells nothing twice and loses nothing.
 *
 * It compares what each channel has heard with what is so now; there is no queue that could be
 * lost or told twice.
 */
export function announce(
  memory: AlertMemory,
  news: readonly News[],
  circumstances: Circumstances,
): Announcement {
  const { recipients, now } = circumstances;
  // Asked before the channels are known: nothing may count as heard by all of them.
  if (recipients.length === 0 && news.length === 0) return { memory, tell: [], decisions: [] };
  const stories = takeIn(memory, news, circumstances);
  const desk: Desk = { memory, stories, circumstances, told: [], decisions: [], repeated: {} };
  for (const recipient of recipients) if (recipient.takes === 'messages') serve(desk, recipient);
  const finished = Object.keys(stories).filter((id) => isFinished(desk, stories[id]));
  for (const id of finished) delete stories[id];
  return {
    memory: remembered(desk, memory, now),
    tell: [...statesOf(news, recipients), ...merged(desk.told)],
    decisions: desk.decisions,
  };
}

interface Desk {
  readonly memory: AlertMemory;
  readonly stories: Record<string, Story>;
  readonly circumstances: Circumstances;
  readonly told: Telling[];
  readonly decisions: Decision[];
  readonly repeated: Record<string, Instant>;
}

/** News that one channel is owed. */
interface Item extends News {
  readonly why: Because;
  readonly held: boolean;
  readonly owed: Owed;
}

/** Opens and continues stories. What was open before stories were kept counts as heard by all. */
function takeIn(
  { stories: known, troubles }: AlertMemory,
  news: readonly News[],
  { recipients, now }: Circumstances,
): Record<string, Story> {
  const stories = { ...known };
  const hearers = recipients.filter(({ takes }) => takes === 'messages');
  const adopt = (alert: Alert, told: Heard['told']): Story => {
    const heard = { told, at: now, held: false };
    return {
      alert,
      from: now,
      heard: Object.fromEntries(hearers.map(({ name }) => [name, heard])),
    };
  };
  if (known === undefined) {
    const fresh = new Set(news.map(({ alert }) => alert.id));
    for (const { alert } of Object.values(troubles)) {
      const isOpen = alert.state === 'open' || alert.state === 'acknowledged';
      if (isOpen && !fresh.has(alert.id)) stories[alert.id] = adopt(alert, alert.severity);
    }
  }
  for (const { alert, change, room, tank } of news) {
    const before = stories[alert.id] ?? (change === 'opened' ? undefined : adopt(alert, 'warning'));
    const heard = before?.heard ?? {};
    stories[alert.id] = {
      alert,
      room: room ?? before?.room,
      tank: tank ?? before?.tank,
      from: now,
      heard,
    };
  }
  return stories;
}

/** Everything that one channel is to hear now. */
function serve(desk: Desk, recipient: Recipient): void {
  const { rules, calendar, now } = desk.circumstances;
  const quiet = isQuiet(rules, now, calendar);
  const isAloud = ({ alert, held }: Item): boolean =>
    alert.severity === 'critical' || !(quiet || held);
  const items = timely(desk, recipient, itemsFor(desk, recipient), isAloud);
  for (const telling of gather(items.filter(isAloud))) {
    tell(desk, recipient, telling.items, { ...telling, ...occasion(telling.change, now) });
  }
  const late = items.filter((item) => !isAloud(item));
  if (!quiet) summarize(desk, recipient, late);
  else for (const item of late) hold(desk, recipient, item);
}

const occasion = (change: News['change'], now: Instant) =>
  change === 'repeated' ? { occasion: now } : {};

function itemsFor(desk: Desk, recipient: Recipient): Item[] {
  const { memory, stories, circumstances } = desk;
  const { rules: waits, now } = circumstances;
  return Object.values(stories).flatMap((story) => {
    const { alert, trouble } = latest(memory, story);
    const due = owed(story, alert, trouble, recipient, { memory, waits, now });
    if (due === undefined) return [];
    const { change, why } = due;
    const held = story.heard[recipient.name]?.held ?? false;
    return [{ alert, change, why, held, owed: due, room: story.room, tank: story.tank }];
  });
}

/** The alert as it stands; that of the story when its trouble has made room for another. */
function latest(
  { troubles }: AlertMemory,
  { alert }: Story,
): { alert: Alert; trouble: Trouble | undefined } {
  const trouble = troubles[troubleKeyOf(alert.id)];
  return trouble?.alert.id === alert.id
    ? { alert: trouble.alert, trouble }
    : { alert, trouble: undefined };
}

/** What is due, or goes along with something of the same event that is due and told aloud. */
function timely(
  desk: Desk,
  { name }: Recipient,
  items: readonly Item[],
  isAloud: (item: Item) => boolean,
): Item[] {
  const { rules, now } = desk.circumstances;
  const last = desk.memory.repeated?.[name];
  const justRepeated = last !== undefined && last <= now && now - last < rules.repeatEvery;
  const mayBe = items.filter(
    ({ change, held }) => held || !(change === 'repeated' && justRepeated),
  );
  const isDue = ({ held, owed: { due, from } }: Item): boolean => held || due <= now || now < from;
  const events = new Set(mayBe.filter((item) => isDue(item) && isAloud(item)).map(eventOf));
  return mayBe.filter(
    (item) => isDue(item) || (item.owed.joins <= now && events.has(eventOf(item))),
  );
}

function tell(desk: Desk, { name }: Recipient, items: readonly Item[], telling: Telling): void {
  const { now } = desk.circumstances;
  desk.told.push({ ...telling, to: [name] });
  if (items.some(({ change }) => change === 'repeated')) desk.repeated[name] = now;
  for (const { alert, why } of items) {
    hear(desk, alert.id, name, { told: alert.severity, at: now, held: false });
    desk.decisions.push({ alert: alert.id, to: name, did: 'told', why });
  }
}

function hold(desk: Desk, { name }: Recipient, { alert, held }: Item): void {
  if (held) return;
  const before = desk.stories[alert.id]?.heard[name];
  const at = before?.at ?? desk.circumstances.now;
  hear(desk, alert.id, name, { told: before?.told ?? null, at, held: true });
  desk.decisions.push({ alert: alert.id, to: name, did: 'held', why: 'quiet-hours' });
}

/** Quiet hours are over: what still stands is told in one message, what has settled is counted. */
function summarize(desk: Desk, recipient: Recipient, late: readonly Item[]): void {
  const { name } = recipient;
  const { now } = desk.circumstances;
  const listed = new Set(late.map(({ alert }) => alert.id));
  const settled: Alert[] = [];
  for (const story of Object.values(desk.stories)) {
    const heard = story.heard[name];
    if (heard?.held !== true || listed.has(story.alert.id)) continue;
    settled.push(latest(desk.memory, story).alert);
    hear(desk, story.alert.id, name, { ...heard, held: false });
    desk.decisions.push({
      alert: story.alert.id,
      to: name,
      did: 'counted',
      why: 'settled-in-quiet-hours',
    });
  }
  const standing = [...late].sort(leadFirst);
  const [lead, ...also] = [...standing.map(({ alert }) => alert), ...settled];
  if (lead === undefined) return;
  const summary = { change: 'summary', why: 'quiet-hours-over', room: undefined } as const;
  const items = standing.map((item) => ({ ...item, why: summary.why }));
  tell(desk, recipient, items, { ...summary, alert: lead, also, settled, occasion: now });
}

function hear({ stories }: Desk, id: string, name: string, heard: Heard): void {
  const story = stories[id];
  if (story === undefined) return;
  // Whoever has heard the end is owed nothing more.
  const { [name]: _, ...others } = story.heard;
  const isOver = story.alert.state === 'closed' && !heard.held;
  stories[id] = { ...story, heard: isOver ? others : { ...others, [name]: heard } };
}

/** Nobody is owed anything of it, now or later. */
function isFinished({ memory, circumstances }: Desk, story: Story | undefined): boolean {
  if (story === undefined) return true;
  const { alert, trouble } = latest(memory, story);
  if (alert.state !== 'closed') return trouble === undefined;
  return !circumstances.recipients.some(
    ({ name, takes }) => takes === 'messages' && story.heard[name] !== undefined,
  );
}

function remembered(desk: Desk, memory: AlertMemory, now: Instant): AlertMemory {
  const { stories, repeated } = desk;
  const before = memory.stories;
  const same =
    before !== undefined &&
    Object.keys(before).length === Object.keys(stories).length &&
    Object.keys(stories).every((id) => stories[id] === before[id]);
  if (same && Object.keys(repeated).length === 0) return memory;
  const { rules } = desk.circumstances;
  const recent = Object.entries(memory.repeated ?? {}).filter(
    ([, at]) => at <= now && now - at < rules.repeatEvery,
  );
  return { ...memory, stories, repeated: { ...Object.fromEntries(recent), ...repeated } };
}

/** Channels that keep states take every change of every alert at once. */
function statesOf(news: readonly News[], recipients: readonly Recipient[]): Telling[] {
  const keepers = recipients.filter(({ takes }) => takes === 'states');
  return news.flatMap(({ alert, change, why, room }) => {
    const to = keepers.filter((keeper) => !isAbout(alert, keeper)).map(({ name }) => name);
    return to.length === 0 ? [] : [{ alert, change, why, room, also: [], to }];
  });
}

/** The same message for several channels is written once. */
function merged(tellings: readonly Telling[]): Telling[] {
  const byContent = new Map<string, Telling>();
  for (const telling of tellings) {
    const { change, alert, also, settled = [] } = telling;
    const ids = [alert, ...also].map(({ id }) => id);
    const key = [change, ...ids, settled.length].join(' ');
    const twin = byContent.get(key);
    const to = [...(twin?.to ?? []), ...(telling.to ?? [])];
    byContent.set(key, { ...telling, to });
  }
  return [...byContent.values()];
}
