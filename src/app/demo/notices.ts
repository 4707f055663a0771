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
  'weak-heater': 'has lost a part of its power',
  'drifting-heater': 'switches at other temperatures from day to day',
  'chattering-heater': 'chatters',
  'dry-heater': 'hangs out of the water',
  'fighting-chiller': 'cools against the heater',
  'stopped-pump': 'has stopped',
  'laboring-pump': 'draws another power than usual',
  'light-stays-on': 'stays on',
  'light-stays-off': 'stays off',
  'displaced-probe': 'hangs in the air of the room',
  'frozen-probe': 'says its last value again and again',
  'silent-probe': 'says nothing',
  'lid-off': 'has lost its lid',
  'open-window': 'has a window open',
  'power-cut': 'the power is out',
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
    const words = WORDS[fault.kind];
    if ('device' in fault) return `${fault.device} ${words}`;
    if ('probe' in fault) return `probe ${fault.probe} ${words}`;
    if ('tank' in fault) return `${fault.tank} ${words}`;
    if ('room' in fault) return `${fault.room} ${words}`;
    if (fault.kind === 'power-cut' && fault.rooms !== undefined) {
      return `${words} in ${fault.rooms.join(', ')}`;
    }
    if (!('plug' in fault)) return words;
    const fed = Object.entries(devices).find(([, device]) => device.plug === fault.plug)?.[0];
    const feeds = fed === undefined ? '' : ` (${fed})`;
    return `plug ${fault.plug}${feeds} ${words}`;
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
