import { MINUTES_PER_DAY, minuteOfDay } from '../../units/index.ts';
import type { Finding, Path } from '../problem.ts';

/** Says that a span from and to the same minute is none. 24:00 and 00:00 are the same minute. */
export function emptySpan(
  path: Path,
  span: { readonly from?: string | undefined; readonly to?: string | undefined },
): Finding[] {
  const { from, to } = span;
  if (from === undefined || to === undefined || (from === '00:00' && to === '24:00')) return [];
  if (minuteOfDay(from) % MINUTES_PER_DAY !== minuteOfDay(to) % MINUTES_PER_DAY) return [];
  return [
    {
      code: 'AMP_CONFIG_HOURS',
      path: [...path, 'to'],
      found: `${to} as the end of a span that begins at ${from}`,
      allowed: 'an end that differs from the beginning',
      remedy: "for the whole day write from: '00:00', to: '24:00'",
    },
  ];
}
