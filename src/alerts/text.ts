import type { Instant } from '../units/index.ts';
import type { Evidence, Subject } from '../watches/index.ts';
import type { Alert, AlertText } from './alert.ts';
import { cautionLines } from './cautions.ts';
import type { Telling } from './gather.ts';
import { WORDS } from './words/index.ts';
import type { Told } from './words/told.ts';
import type { Writer } from './writer.ts';

/** An alert in the keeper's words, as it stands at `now`. Plain text: escape it for HTML. */
export function alertText(alert: Alert, write: Writer, now: Instant): AlertText {
  const told = toldOf(alert, write, now);
  const words = WORDS[alert.watch];
  const named = `${words.title(told)}: ${told.subject}`;
  const title = told.place === undefined ? named : `${named} (${told.place})`;
  const whole = {
    severity: alert.severity,
    cautions: cautionLines(words.cautions),
    since: sinceLine(alert, write, now),
  };
  if (alert.state === 'closed') {
    const lasted = write.length((alert.closed ?? now) - alert.since);
    return {
      ...whole,
      title: `Over: ${title}`,
      what: `This is over. It lasted ${lasted}.`,
      over: true,
      evidence: leftover(told),
      todo: words.after(told),
    };
  }
  const sentences = words.evidence(told).filter((line) => line !== undefined);
  return {
    ...whole,
    title,
    what: words.what(told),
    over: false,
    evidence: [...sentences, ...leftover(told)],
    todo: words.todo(told).filter((line) => line !== undefined),
  };
}

/** A message's words: its first alert leads, what belongs to the same event is worked in. */
export function tellingText(telling: Telling, write: Writer, now: Instant): AlertText {
  const lead = alertText(telling.alert, write, now);
  if (telling.also.length === 0) return lead;
  const others = telling.also.map((alert) => alertText(alert, write, now));
  const all = [lead, ...others];
  return {
    ...lead,
    title: isSilence(telling.alert) ? silenceTitle(telling, write) : lead.title,
    what: isSilence(telling.alert) ? lead.what : all.map((text) => text.what).join(' '),
    evidence: [
      ...lead.evidence,
      ...others.flatMap((text) => [`${text.title}. ${text.since}.`, ...text.evidence]),
    ].filter(firstOfItsKind),
    todo: all.flatMap((text) => text.todo).filter(firstOfItsKind),
    cautions: cautionLines(
      [telling.alert, ...telling.also].flatMap((alert) => WORDS[alert.watch].cautions),
    ),
  };
}

const isSilence = ({ watch }: Alert): boolean =>
  watch === 'plug-silent' || watch === 'probe-silent';

function silenceTitle({ alert, also, room }: Telling, write: Writer): string {
  const place = room === undefined ? '' : ` in ${write.name({ kind: 'room', id: room })}`;
  const names = [alert, ...also].map(({ subject }) => write.name(subject)).join(', ');
  const title = `${also.length + 1} plugs or probes silent${place}: ${names}`;
  return alert.state === 'closed' ? `Over: ${title}` : title;
}

const firstOfItsKind = (line: string, index: number, lines: string[]): boolean =>
  lines.indexOf(line) === index;

function toldOf(alert: Alert, write: Writer, now: Instant): Told {
  const { subject } = alert;
  const place = write.names.place?.(subject);
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
    unread: () => alert.evidence.filter((evidence) => !read.has(evidence)),
  };
}

/** Evidence that no sentence used, so that nothing a watch rests on is hidden. */
function leftover(told: Told): string[] {
  return told.unread().map((evidence) => {
    const words = evidence.what.replaceAll('-', ' ');
    return `${words[0]?.toUpperCase() ?? ''}${words.slice(1)}: ${told.write.value(evidence)}.`;
  });
}

function sinceLine(alert: Alert, write: Writer, now: Instant): string {
  const { since, closed } = alert;
  if (closed !== undefined) {
    const lasted = write.length(closed - since);
    return `From ${write.moment(since)} to ${write.moment(closed)} (${lasted})`;
  }
  return `Since ${write.moment(since)} (${write.length(now - since)})`;
}
