import type { Finding, Path } from '../problem.ts';
import type { FileInput } from '../validate.ts';
import { checkBelonging } from './belonging.ts';
import { impossibleDate, isDate } from './dates.ts';
import { missingReference } from './references.ts';
import { entriesOf, type Loose, type View } from './view.ts';
import { emptySpan } from './wall-times.ts';

type Device = Loose<FileInput['devices'][string]>;

/** Every device belongs somewhere at any time, and hangs on a plug that exists. */
export function checkDevices(view: View): Finding[] {
  return entriesOf(view.file.devices).flatMap(([id, device]) => {
    const path = ['devices', id];
    return [
      ...missingReference(view, [...path, 'plug'], device.plug, 'plugs'),
      ...checkBelonging(view, path, device),
      ...(device.moved ?? []).flatMap((move, index) =>
        move === undefined ? [] : checkBelonging(view, [...path, 'moved', index], move),
      ),
      ...(device.schedule ?? []).flatMap((span, index) =>
        span === undefined ? [] : emptySpan([...path, 'schedule', index], span),
      ),
      ...checkDates(path, device),
    ];
  });
}

/** Its dates are on the calendar, and follow each other: reckoned from, moved on …, in use until. */
function checkDates(path: Path, { reckon_from: from, moved, until }: Device): Finding[] {
  const findings = [
    ...impossibleDate([...path, 'reckon_from'], from),
    ...impossibleDate([...path, 'until'], until),
  ];
  const last = isDate(until) ? until : undefined;
  if (isDate(from) && last !== undefined && from > last) {
    findings.push({
      code: 'AMP_CONFIG_DEVICE_DATES',
      path: [...path, 'until'],
      found: `${last}, before it is reckoned from ${from} on`,
      allowed: 'a last day that is not before reckon_from',
    });
  }
  let before: string | undefined;
  (moved ?? []).forEach((move, index) => {
    const at = [...path, 'moved', index, 'on'];
    const on = move?.on;
    findings.push(...impossibleDate(at, on));
    if (!isDate(on)) return;
    if (before !== undefined && on <= before) findings.push(notAfter(at, on, before));
    else if (last !== undefined && on > last) findings.push(afterLast(at, on, last));
    before = on;
  });
  return findings;
}

const notAfter = (path: Path, on: string, before: string): Finding => ({
  code: 'AMP_CONFIG_DEVICE_DATES',
  path,
  found: on === before ? `${on} for the second time` : `${on}, after a move on ${before}`,
  allowed: 'moves that follow each other by date, the earliest first',
  remedy: 'put them in order',
});

const afterLast = (path: Path, on: string, last: string): Finding => ({
  code: 'AMP_CONFIG_DEVICE_DATES',
  path,
  found: `a move on ${on} of a device that was in use until ${last}`,
  allowed: 'moves up to its last day',
  remedy: 'take until away if it is in use again, or leave the move out',
});
