import type { Config } from '../../config/index.ts';
import type { Fault } from '../../simulator/index.ts';
import { DAY, type Instant } from '../../units/index.ts';

/** What the demo tells on the terminal, at the site's wall clock. */
export interface Notices {
  /** A fault that was asked for. */
  fault(fault: Fault): string;
  /** One that the history holds, and that was put right. */
  past(fault: Fault): string;
}

const WORDS: Readonly<Record<Fault['kind'], string>> = {
  'stuck-on': 'stuck on',
  'dead-heater': 'dead',
  'cold-night': 'a cold night, and the room heater has tripped',
  'plug-offline': 'off the air',
};

export function createNotices(
  { site, devices }: Pick<Config, 'site' | 'devices'>,
  now: Instant,
): Notices {
  const day = new Intl.DateTimeFormat(site.locale, {
    timeZone: site.time_zone,
    month: 'short',
    day: 'numeric',
    hour: 'numeric',
    minute: '2-digit',
  });
  const clock = new Intl.DateTimeFormat(site.locale, {
    timeZone: site.time_zone,
    hour: 'numeric',
    minute: '2-digit',
  });

  function what(fault: Fault): string {
    if ('device' in fault) return `${fault.device} ${WORDS[fault.kind]}`;
    if (!('plug' in fault)) return WORDS[fault.kind];
    const fed = Object.entries(devices).find(([, device]) => device.plug === fault.plug)?.[0];
    const feeds = fed === undefined ? '' : ` (${fed})`;
    return `plug ${fault.plug}${feeds} ${WORDS[fault.kind]}`;
  }

  return {
    fault: (fault) =>
      `  fault since ${(now - fault.from < DAY ? clock : day).format(fault.from)}: ${what(fault)}`,
    past: (fault) => {
      const until = fault.until === undefined ? '' : ` to ${clock.format(fault.until)}`;
      return `  in the history, put right since: ${what(fault)}, ${day.format(fault.from)}${until}`;
    },
  };
}
