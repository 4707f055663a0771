import type { Instant } from '../units/index.ts';
import type { Evidence } from '../watches/index.ts';
import type { Alert, AlertText } from './alert.ts';
import type { Change } from './trouble.ts';
import type { Writer } from './writer.ts';

/** A message as plain text, lines separated by \n. */
export function renderText(text: AlertText): string {
  const rank = text.over ? '' : `${text.severity.toUpperCase()}: `;
  const steps = text.todo.map((line, index) => `${index + 1}. ${line}`);
  return [
    `${rank}${text.title}`,
    text.what,
    `${text.since}.`,
    ...section('What is measured', text.evidence),
    ...section(text.over ? 'Still to check' : 'What to do now', steps),
    ...section('Take care', text.cautions),
  ].join('\n');
}

const section = (title: string, lines: readonly string[]): string[] =>
  lines.length === 0 ? [] : ['', title, ...lines];

export interface Message {
  readonly change: Change;
  /** Other alerts of the same event, told in the same message. */
  readonly also?: readonly Alert[];
}

/** The JSON of the MQTT and webhook messages; docs/alerts.md describes it. Units stand in keys. */
export function renderJson(
  alert: Alert,
  text: AlertText,
  write: Writer,
  { change, also = [] }: Message,
): string {
  return JSON.stringify({
    format: 1,
    change,
    ...factsOf(alert, write),
    text,
    plain: renderText(text),
    also: also.map((other) => factsOf(other, write)),
  });
}

const factsOf = (alert: Alert, write: Writer) => ({
  id: alert.id,
  watch: alert.watch,
  subject: { kind: alert.subject.kind, id: alert.subject.id, name: write.name(alert.subject) },
  place: placeOf(alert, write),
  state: alert.state,
  severity: alert.severity,
  confidence: alert.confidence,
  reason: alert.reason,
  since: iso(alert.since),
  opened: iso(alert.opened),
  acknowledged: iso(alert.acknowledged),
  closed: iso(alert.closed),
  evidence: alert.evidence.map((evidence) => evidenceOf(evidence, write)),
});

/** What the subject belongs to: a heater to its tank, a tank to its room. */
function placeOf({ subject }: Alert, write: Writer) {
  const place = subject.kind === 'channel' ? undefined : write.names.place?.(subject);
  return place === undefined ? null : { kind: place.kind, id: place.id, name: write.name(place) };
}

const iso = (at: Instant | undefined): string | null =>
  at === undefined ? null : new Date(at).toISOString();

const KEYS = {
  C: 'temp_c',
  K: 'difference_k',
  W: 'power_w',
  V: 'voltage_v',
  fraction: 'fraction',
  ms: 'duration_s',
  'W/K': 'heat_loss_w_per_k',
} as const;

function evidenceOf({ what, value, unit, at, low, high, subject }: Evidence, write: Writer) {
  const key = KEYS[unit];
  const inUnit = (number: number): number | null =>
    Number.isFinite(number) ? (unit === 'ms' ? number / 1000 : number) : null;
  return {
    what,
    ...(subject === undefined
      ? {}
      : { subject: { kind: subject.kind, id: subject.id, name: write.name(subject) } }),
    [key]: inUnit(value),
    ...(low === undefined ? {} : { [`${key}_low`]: inUnit(low) }),
    ...(high === undefined ? {} : { [`${key}_high`]: inUnit(high) }),
    at: iso(at),
  };
}
