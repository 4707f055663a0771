import { UPKEEP } from '../../shares/config.ts';
import type { Finding } from '../problem.ts';
import { lastBelonging } from './belonging.ts';
import { exactlyOne, missingReference } from './references.ts';
import { entriesOf, type View } from './view.ts';

/** Tanks and probes stand in rooms that exist, hold something, and are kept in a range. */
export function checkTanks(view: View): Finding[] {
  return entriesOf(view.file.tanks).flatMap(([id, tank]): Finding[] => {
    const path = ['tanks', id];
    const { min, max } = tank.keep_c ?? {};
    const set = tank.set_c;
    return [
      ...(id === UPKEEP ? [reservedName(id)] : []),
      ...missingReference(view, [...path, 'room'], tank.room, 'rooms'),
      ...(view.given([...path, 'volume_l']) || view.given([...path, 'dimensions_cm'])
        ? []
        : [noSize(id)]),
      ...(min !== undefined && max !== undefined && min >= max ? [emptyRange(id, min, max)] : []),
      ...(set !== undefined && min !== undefined && max !== undefined && (set < min || set > max)
        ? [setOutside(id, set, min, max)]
        : []),
    ];
  });
}

export function checkProbes(view: View): Finding[] {
  return entriesOf(view.file.probes).flatMap(([id, probe]) => {
    const path = ['probes', id];
    return [
      ...exactlyOne(view, path, ['tank', 'room'], 'say where the probe hangs'),
      ...missingReference(view, [...path, 'tank'], probe.tank, 'tanks'),
      ...missingReference(view, [...path, 'room'], probe.room, 'rooms'),
    ];
  });
}

/** Without a probe nothing tells a heater that is stuck on from one that works hard. */
export function checkHeatersHaveProbes(view: View): Finding[] {
  if (view.ids('probes') === undefined) return [];
  const probed = new Set(entriesOf(view.file.probes).map(([, probe]) => probe.tank));
  return entriesOf(view.file.devices).flatMap(([id, device]): Finding[] => {
    const { kind } = device;
    const { tank } = lastBelonging(device);
    const heats = kind === 'heater' || kind === 'heat-mat';
    if (!heats || view.given(['devices', id, 'until'])) return [];
    if (tank === undefined || tank === UPKEEP || probed.has(tank)) return [];
    if (view.ids('tanks')?.has(tank) !== true || view.secret(['devices', id, 'tank'])) return [];
    return [
      {
        code: 'AMP_CONFIG_NO_PROBE',
        path: ['devices', id],
        at: 'key',
        found: `a ${kind} in ${tank}, where no probe measures`,
        allowed: 'it, but what the watches say of it is only ever possible, never certain',
        remedy: `a probe with tank: ${tank} makes it certain`,
        warning: true,
      },
    ];
  });
}

const reservedName = (id: string): Finding => ({
  code: 'AMP_CONFIG_RESERVED',
  path: ['tanks', id],
  at: 'key',
  found: `a tank called ${id}`,
  allowed: 'any other id: this one stands for energy that belongs to no tank',
  remedy: 'rename the tank',
});

const noSize = (id: string): Finding => ({
  code: 'AMP_CONFIG_SIZE_UNKNOWN',
  path: ['tanks', id],
  at: 'key',
  found: 'neither volume_l nor dimensions_cm',
  allowed: 'one of them, or both',
  remedy: 'measure the tank: its heat cannot be reckoned otherwise',
});

const emptyRange = (id: string, min: number, max: number): Finding => ({
  code: 'AMP_CONFIG_KEPT_RANGE',
  path: ['tanks', id, 'keep_c'],
  at: 'key',
  found: `min ${min} and max ${max}`,
  allowed: 'a min below the max',
});

const setOutside = (id: string, set: number, min: number, max: number): Finding => ({
  code: 'AMP_CONFIG_SET_POINT',
  path: ['tanks', id, 'set_c'],
  found: `${set}`,
  allowed: `${min} to ${max}, the range the animals are kept in`,
  remedy: 'check the thermostat, or the range',
  warning: true,
});
