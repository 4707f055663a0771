import type { Instant } from '../units/index.ts';
import type { AlertSubject, AlertWatch } from './alert.ts';

/** 'WATCH:KIND/ID': one watch looking at one thing; at most one trouble at a time. */
export const troubleKey = (watch: AlertWatch, subject: AlertSubject): string =>
  `${watch}:${subject.kind}/${subject.id}`;

/** 'WATCH:KIND/ID:SINCE', SINCE in ISO 8601 UTC; ids hold no colon, so it can be taken apart. */
export const alertId = (watch: AlertWatch, subject: AlertSubject, since: Instant): string =>
  `${troubleKey(watch, subject)}:${new Date(since).toISOString()}`;

/** The part of an alert id that stays the same from one trouble to the next: 'WATCH:KIND/ID'. */
export function troubleKeyOf(id: string): string {
  const watchEnd = id.indexOf(':');
  const subjectEnd = id.indexOf(':', watchEnd + 1);
  return subjectEnd < 0 ? id : id.slice(0, subjectEnd);
}
