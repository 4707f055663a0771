import type { Instant } from '../units/index.ts';
import type { Evidence, Subject } from '../watches/index.ts';
import type { Alert, AlertText } from './alert.ts';
import { cautionLines } from './cautions.ts';
import { isPowerCut, type Telling } from './gather.ts';
import { wordsOf } from './own-words.ts';
import { evidenceLine } from './words/evidence-lines.ts';
import type { Told } from './words/told.ts';
import { unwatchedLines } from './words/unwatched.ts';
import type { Writer } from './writer.ts';

/** An alert in the keeper's words, as it stands at `now`. Plain text: escape it for HTML. */
export function alertText(alert: Alert, write: Writer, now: Instant): AlertText {
  const told = toldOf(alert, write, now);
  const words = wordsOf(alert.watch);
  const named = `${words.title(told)}: ${told.subject}`;
  const title = told.place === undefined ? named : `${named} (${told.place})`;
  const over = alert.state === 'closed';
  const sentences = over ? [] : words.evidence(told).filter((line) => line !== undefined);
  return {
    title: over ? `Over: ${title}` : title,
    what: over ? `This is over. It lasted ${lasted(alert, write)}.` : words.what(told),
    severity: alert.severity,
    over,
    since: sinceLine(alert, write, now),
    evidence: [...sentences, ...leftover(told)],
    todo: over ? words.after(told) : words.todo(told).filter((line) => line !== undefined),
    cautions: cautionLines(words.cautions),
  };
}

/** A message's words: its first alert leads, what belongs to the same event is worked in. */
export function tellingText(telling: Telling, write: Writer, now: Instant): AlertText {
  if (telling.change === 'summary') return summaryText(telling, write, now);
  if (telling.change === 'repeated') return stillText(telling, write, now);
  return eventText(telling, write, now);
}

/** What goes on is told again in full when it is one thing, else a line for each. */
function stillText(telling: Telling, write: Writer, now: Instant): AlertText {
  const { alert, also, why } = telling;
  const alerts = [alert, ...also];
  const texts = alerts.map((each) => alertText(each, write, now));
  const [lead] = texts as [AlertText];
  if (also.length === 0) {
    const again =
      why === 'snooze-over'
        ? 'The snooze is over, and it goes on.'
        : 'It goes on, and nobody has acknowledged it.';
    return { ...lead, title: `Still: ${lead.title}`, what: `${lead.what} ${again}` };
  }
  return {
    ...lead,
    title: `Still: ${alerts.length} alerts that nobody has acknowledged`,
    what: 'They go on.',
    evidence: lines(texts),
    todo: unique(texts.flatMap(({ todo }) => todo.slice(0, 1))),
    cautions: cautionLines(alerts.flatMap(({ watch }) => wordsOf(watch).cautions)),
  };
}

/** A line for each alert, as far as a message may be long. */
const lines = (texts: readonly AlertText[]): string[] => [
  ...texts.slice(0, LISTED).map(({ title, since }) => `${title}. ${since}.`),
  ...(texts.length > LISTED ? [`And ${texts.length - LISTED} more.`] : []),
];

function eventText(telling: Telling, write: Writer, now: Instant): AlertText {
  const { alert, also } = telling;
  const alerts = [alert, ...also];
  const texts = alerts.map((each) => alertText(each, write, now));
  const [lead = alertText(alert, write, now)] = texts;
  if (also.length === 0) return lead;
  const cautions = cautionLines(alerts.flatMap(({ watch }) => wordsOf(watch).cautions));
  if (isPowerCut(alert) && also.every(isSilence)) {
    const names = listed(also.map(({ subject }) => write.name(subject)));
    return { ...lead, evidence: [...lead.evidence, `Silent with it: ${names}.`], cautions };
  }
  if (isSilence(alert) && also.every(isSilence))
    return { ...silenceText(telling, texts, write), cautions };
  return {
    ...lead,
    title: texts.map((text) => text.title).join('. '),
    what: unique(texts.map((text) => text.what)).join(' '),
    evidence: unique(texts.flatMap((text) => text.evidence)),
    // What undoes the cause undoes the rest.
    todo: (texts[alerts.findIndex(isHeater)] ?? lead).todo,
    cautions,
  };
}

const isHeater = ({ watch }: Alert): boolean => watch.startsWith('heater-');

const isSilence = ({ watch }: Alert): boolean =>
  watch === 'plug-silent' || watch === 'probe-silent';

const unique = (lines: readonly string[]): string[] => [...new Set(lines)];

/** A whole room may fall silent: more than this many are counted, not listed. */
const LISTED = 8;

const listed = (names: readonly string[]): string =>
  [
    ...names.slice(0, LISTED),
    ...(names.length > LISTED ? [`and ${names.length - LISTED} more`] : []),
  ].join(', ');

/** What was held back in quiet hours: a line for each alert, and a count of what has settled. */
function summaryText(
  { alert, also, settled = [] }: Telling,
  write: Writer,
  now: Instant,
): AlertText {
  const isSettled = new Set(settled.map(({ id }) => id));
  const standing = [alert, ...also].filter(({ id }) => !isSettled.has(id));
  const texts = standing.map((each) => alertText(each, write, now));
  const open = texts.filter(({ over }) => !over);
  const count = settled.length;
  const alerts = (number: number): string => `${number} ${number === 1 ? 'alert' : 'alerts'}`;
  return {
    title: `Quiet hours are over: ${alerts(standing.length + count)} held back`,
    what:
      open.length === 0
        ? 'Nothing of it is open now.'
        : `${open.length} of it ${open.length === 1 ? 'is' : 'are'} still open.`,
    severity: alert.severity,
    over: open.length === 0,
    since: `Held back until ${write.moment(now)}`,
    evidence: [
      ...lines(texts),
      ...(count > 0
        ? [`${alerts(count)} came up and settled meanwhile, or you have seen them.`]
        : []),
    ],
    todo: unique(open.flatMap(({ todo }) => todo.slice(0, 1))),
    cautions: cautionLines(
      standing
        .filter(({ state }) => state !== 'closed')
        .flatMap(({ watch }) => wordsOf(watch).cautions),
    ),
  };
}

function silenceText(
  { alert, also, room }: Telling,
  texts: readonly AlertText[],
  write: Writer,
): AlertText {
  const [lead] = texts as readonly [AlertText];
  const subjects = [alert, ...also].map(({ subject }) => subject);
  const silent = subjects.filter((subject) => subject.kind !== 'channel');
  const names = subjects.map((subject) => write.name(subject));
  const more = names.length > LISTED ? [`and ${names.length - LISTED} more`] : [];
  const place = room === undefined ? '' : ` in ${write.name({ kind: 'room', id: room })}`;
  const count = `${names.length} plugs or probes`;
  return {
    ...lead,
    title: `${lead.over ? 'Over: ' : ''}${count} silent${place}`,
    what: lead.over
      ? `${count} are heard again: ${listed(names)}.`
      : `Nothing is heard from ${count}; what they watch is not watched now.`,
    evidence: lead.over
      ? []
      : [
          ...texts.slice(0, LISTED).map(({ evidence: [line] }, at) => `${names[at]}: ${line}`),
          ...more,
          ...unwatchedLines(write, silent, 'they speak again'),
        ],
    todo: unique(texts.flatMap((text) => text.todo)),
  };
}

function toldOf(alert: Alert, write: Writer, now: Instant): Told {
  const { subject } = alert;
  const place = subject.kind === 'channel' ? undefined : write.names.place?.(subject);
  const tank = [subject, place].find((at): at is Subject => at?.kind === 'tank');
  const dry = tank !== undefined && (write.names.isDry?.(tank) ?? false);
  const read = new Set<Evidence>();
  return {
    alert,
    now,
    write,
    subject: write.name(subject),
    place: place && write.name(place),
    dry,
    medium: dry ? 'The air in the tank' : 'The water',
    read(...words) {
      const found = alert.evidence.find(({ what }) => words.includes(what));
      if (found !== undefined) read.add(found);
      return found;
    },
    readAll(word) {
      const found = alert.evidence.filter(({ what }) => what === word);
      for (const evidence of found) read.add(evidence);
      return found;
    },
    unread: () => alert.evidence.filter((evidence) => !read.has(evidence)),
  };
}

/** Where the watch draws its line is for the log and the JSON, not for 3 a.m. */
const UNTOLD: ReadonlySet<string> = new Set(['too-warm-from', 'too-cold-from', 'allowed-silence']);
/** What still matters once it is over. */
const TOLD_AT_THE_END: ReadonlySet<string> = new Set([
  'tank-temperature',
  'room-temperature',
  'power',
]);

/** Evidence that no sentence has used, a line each. */
const leftover = (told: Told): string[] =>
  told
    .unread()
    .filter(({ what }) =>
      told.alert.state === 'closed' ? TOLD_AT_THE_END.has(what) : !UNTOLD.has(what),
    )
    .map((evidence) => evidenceLine(told, evidence));

const lasted = ({ since, closed = since }: Alert, write: Writer): string =>
  write.length(closed - since);

function sinceLine(alert: Alert, write: Writer, now: Instant): string {
  const begin = write.moment(alert.since);
  if (alert.closed === undefined) return `Since ${begin} (${write.length(now - alert.since)})`;
  return `From ${begin} to ${write.moment(alert.closed)} (${lasted(alert, write)})`;
}
