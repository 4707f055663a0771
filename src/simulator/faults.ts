import { CodedError, type Instant } from '../units/index.ts';
import type { Chance } from './chance.ts';
import type { HouseSpec } from './spec.ts';

/** What can go wrong in the simulated house, from a moment on. */
export type Fault =
  | { readonly kind: 'stuck-on'; readonly device: string; readonly from: Instant }
  | { readonly kind: 'dead-heater'; readonly device: string; readonly from: Instant }
  | { readonly kind: 'cold-night'; readonly from: Instant }
  | { readonly kind: 'plug-offline'; readonly plug: string; readonly from: Instant };

export const FAULT_KINDS = ['stuck-on', 'dead-heater', 'cold-night', 'plug-offline'] as const;

/**
 * Reads a fault as written on the command line: 'stuck-on', 'stuck-on:DEVICE', 'cold-night' …
 * Without a target one is picked by chance.
 * @throws CodedError AMP_DEMO_FAULT when it is no fault or no such target.
 */
export function parseFault(text: string, spec: HouseSpec, chance: Chance, from: Instant): Fault {
  const [kind, target] = text.split(':', 2);
  switch (kind) {
    case 'stuck-on':
    case 'dead-heater':
      return { kind, device: choose(text, target, tankHeaters(spec), chance), from };
    case 'plug-offline':
      return { kind, plug: choose(text, target, heaterPlugs(spec), chance), from };
    case 'cold-night':
      return { kind, from };
    default:
      throw new CodedError('AMP_DEMO_FAULT', `there is no fault '${text}'`, {
        remedy: `use one of ${FAULT_KINDS.join(', ')}, with ':ID' of a device or plug behind it`,
      });
  }
}

const tankHeaters = (spec: HouseSpec): string[] =>
  spec.devices
    .filter(({ kind, tank, plug }) => kind === 'heater' && tank !== undefined && plug !== undefined)
    .map(({ id }) => id);

const heaterPlugs = (spec: HouseSpec): string[] =>
  spec.devices.flatMap(({ kind, plug }) => (kind === 'heater' && plug !== undefined ? [plug] : []));

function choose(
  text: string,
  target: string | undefined,
  allowed: readonly string[],
  chance: Chance,
): string {
  const chosen = target ?? chance.pick(allowed);
  if (chosen === undefined || !allowed.includes(chosen)) {
    throw new CodedError('AMP_DEMO_FAULT', `'${text}' names nothing that can fail this way`, {
      remedy: `use one of ${allowed.join(', ')}`,
    });
  }
  return chosen;
}
