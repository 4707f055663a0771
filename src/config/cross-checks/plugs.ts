import type { Finding } from '../problem.ts';
import { missingReference } from './references.ts';
import { entriesOf, type View } from './view.ts';

/** The devices on one plug, by id, in the order of the file. */
interface OnPlug {
  readonly all: readonly string[];
  /** Those that are not of the past. */
  readonly inUse: readonly string[];
}

const NONE: OnPlug = { all: [], inUse: [] };

/** It is clear which device gets what a plug counts. */
export function checkPlugs(view: View): Finding[] {
  const plugs = devicesByPlug(view);
  return [
    ...[...plugs].flatMap(([plug, on]) => [
      ...(view.given(['plugs', plug, 'remainder']) ? [] : onOnePlug(plug, on)),
      ...heatersAmongOthers(view, on),
    ]),
    ...entriesOf(view.file.plugs).flatMap(([plug, { remainder }]) =>
      remainder === undefined ? [] : checkRemainder(view, plug, remainder, plugs.get(plug) ?? NONE),
    ),
    ...idlePlugs(view, plugs),
  ];
}

function devicesByPlug(view: View): Map<string, OnPlug> {
  const plugs = new Map<string, { all: string[]; inUse: string[] }>();
  for (const [id, { plug }] of entriesOf(view.file.devices)) {
    if (plug === undefined) continue;
    const on = plugs.get(plug) ?? { all: [], inUse: [] };
    on.all.push(id);
    if (!view.given(['devices', id, 'until'])) on.inUse.push(id);
    plugs.set(plug, on);
  }
  return plugs;
}

/** One that is no longer in use counts too: only a remainder says who takes over from it. */
function onOnePlug(plug: string, { all: [first, ...others], inUse }: OnPlug): Finding[] {
  const rest = inUse[0] ?? first;
  return others.map((id) => ({
    code: 'AMP_CONFIG_PLUG_TWICE',
    path: ['devices', id, 'plug'],
    found: `the plug of ${first}`,
    allowed: 'a plug that feeds no other device, or one with a remainder',
    remedy: `write remainder: ${rest} at plugs.${plug}: while the others are in use they get their part by nameplate and schedule, and ${rest} the rest; or leave plug out for one of them: it is then reckoned`,
  }));
}

/** What is drawn by all together says nothing sure of one: its watches see only the water. */
function heatersAmongOthers(view: View, { inUse }: OnPlug): Finding[] {
  if (inUse.length < 2) return [];
  return inUse.flatMap((id): Finding[] => {
    if (view.file.devices?.[id]?.kind !== 'heater') return [];
    const others = inUse.filter((other) => other !== id).join(', ');
    return [
      {
        code: 'AMP_CONFIG_PLUG_SHARED',
        path: ['devices', id, 'plug'],
        found: `a heater on a plug that also feeds ${others}`,
        allowed:
          'it, but no watch can tell from the power that the heater is stuck on or no longer heats; only a probe tells, when the water is too warm or too cold already',
        remedy: 'give the heater a plug of its own',
        warning: true,
      },
    ];
  });
}

function checkRemainder(
  view: View,
  plug: string,
  remainder: string,
  { all, inUse }: OnPlug,
): Finding[] {
  const path = ['plugs', plug, 'remainder'];
  const unknown = missingReference(view, path, remainder, 'devices');
  if (unknown.length > 0 || view.ids('devices') === undefined) return unknown;
  // A device with a mistake in its plug may be meant for this one.
  const plugLost = view.file.devices?.[remainder]?.plug === undefined;
  if (!all.includes(remainder)) {
    if (plugLost && view.given(['devices', remainder, 'plug'])) return [];
    return [
      {
        code: 'AMP_CONFIG_REMAINDER',
        path,
        found: `${remainder}, which is not on this plug`,
        allowed: all.length === 0 ? 'a device on this plug' : `one of ${all.join(', ')}`,
        remedy: `give ${remainder} plug: ${plug}, or name one that is on it`,
      },
    ];
  }
  if (all.length === 1) {
    return [
      {
        code: 'AMP_CONFIG_REMAINDER_IDLE',
        path,
        found: `${remainder}, the only device on this plug`,
        allowed: 'it, but there is nothing to divide',
        remedy: `give the other devices plug: ${plug}, or take remainder away`,
        warning: true,
      },
    ];
  }
  if (inUse.length === 0 || inUse.includes(remainder)) return [];
  return [
    {
      code: 'AMP_CONFIG_REMAINDER_IDLE',
      path,
      found: `${remainder}, which is in use only until ${view.file.devices?.[remainder]?.until}`,
      allowed: 'it, but what the others leave is still given to it after that day',
      remedy: `name one that stays: ${inUse.join(', ')}`,
      warning: true,
    },
  ];
}

function idlePlugs(view: View, plugs: ReadonlyMap<string, OnPlug>): Finding[] {
  if (view.ids('devices') === undefined) return [];
  return [...(view.ids('plugs') ?? [])]
    .filter((plug) => !plugs.has(plug))
    .map((plug) => ({
      code: 'AMP_CONFIG_PLUG_IDLE',
      path: ['plugs', plug],
      at: 'key',
      found: 'a plug that feeds no device',
      allowed: 'it, but its energy is in no account',
      remedy: `give a device plug: ${plug}`,
      warning: true,
    }));
}
