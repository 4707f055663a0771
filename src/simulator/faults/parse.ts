import { CodedError, type Instant } from '../../units/index.ts';
import type { Chance } from '../chance.ts';
import type { HouseSpec } from '../spec.ts';
import type { Fault } from './fault.ts';
import { KINDS } from './kinds.ts';

export const FAULT_KINDS = Object.keys(KINDS) as readonly Fault['kind'][];

/** The kinds of fault for which a house has a target. */
export const faultKinds = (spec: HouseSpec): Fault['kind'][] =>
  FAULT_KINDS.filter((kind) => KINDS[kind].targets?.(spec).length !== 0);

/**
 * Reads a fault as written on the command line: 'stuck-on', 'stuck-on:DEVICE', 'cold-night' …
 * Without a target one is picked by chance, among those that will show; so is how bad it is.
 * @throws CodedError AMP_DEMO_FAULT when it is no fault or no such target.
 */
export function parseFault(text: string, spec: HouseSpec, chance: Chance, from: Instant): Fault {
  const [name, target] = splitOnce(text);
  if (!isKind(name)) {
    throw new CodedError('AMP_DEMO_FAULT', `there is no fault '${text}'`, {
      remedy: `use one of ${faultKinds(spec).join(', ')}; all but cold-night may name what they strike, as in stuck-on:ID`,
    });
  }
  const kind = KINDS[name];
  if (kind.targets === undefined) {
    if (target === undefined) return kind.of('', from, chance);
    throw new CodedError('AMP_DEMO_FAULT', `'${text}' names a target, but a night has none`, {
      remedy: `write '${name}'`,
    });
  }
  if (target === undefined && kind.everywhere) return kind.of('', from, chance);
  const telling = kind.telling?.(spec) ?? [];
  const all = kind.targets(spec);
  const chosen = target ?? chance.pick(telling.length > 0 ? telling : all);
  if (chosen === undefined || !all.includes(chosen)) {
    throw new CodedError('AMP_DEMO_FAULT', `'${text}' names nothing that can fail this way`, {
      remedy: all.length === 0 ? 'this house has nothing that can' : `use one of ${all.join(', ')}`,
    });
  }
  return kind.of(chosen, from, chance);
}

const isKind = (name: string): name is Fault['kind'] => Object.hasOwn(KINDS, name);

function splitOnce(text: string): [string, string | undefined] {
  const colon = text.indexOf(':');
  return colon < 0 ? [text, undefined] : [text.slice(0, colon), text.slice(colon + 1)];
}
