import { UPKEEP } from '../../shares/config.ts';
import type { Finding } from '../problem.ts';
import { impossibleDate } from './dates.ts';
import { exactlyOne, missingReference } from './references.ts';
import { entriesOf, type View } from './view.ts';
import { emptySpan } from './wall-times.ts';

/** Shares are decimal fractions: their sum may miss 1 by what binary numbers cannot hold. */
const SUM_TOLERANCE = 1e-9;

/** Every device belongs somewhere, to the full, and hangs on a plug that exists. */
export function checkDevices(view: View): Finding[] {
  return entriesOf(view.file.devices).flatMap(([id, device]) => {
    const path = ['devices', id];
    return [
      ...missingReference(view, [...path, 'plug'], device.plug, 'plugs'),
      ...exactlyOne(view, path, ['tank', 'shares'], `what serves no tank has tank: ${UPKEEP}`),
      ...missingReference(view, [...path, 'tank'], device.tank, 'tanks', { also: [UPKEEP] }),
      ...Object.keys(device.shares ?? {}).flatMap((tank) =>
        missingReference(view, [...path, 'shares', tank], tank, 'tanks', {
          at: 'key',
          also: [UPKEEP],
        }),
      ),
      ...wrongSum(id, device.shares),
      ...(device.schedule ?? []).flatMap((span, index) =>
        span === undefined ? [] : emptySpan([...path, 'schedule', index], span),
      ),
      ...impossibleDate([...path, 'reckon_from'], device.reckon_from),
    ];
  });
}

function wrongSum(
  id: string,
  shares: Readonly<Record<string, number | undefined>> | undefined,
): Finding[] {
  if (shares === undefined) return [];
  let sum = 0;
  for (const share of Object.values(shares)) {
    if (share === undefined) return [];
    sum += share;
  }
  if (Math.abs(sum - 1) <= SUM_TOLERANCE) return [];
  const rest = Number((1 - sum).toFixed(9));
  return [
    {
      code: 'AMP_CONFIG_SHARES_SUM',
      path: ['devices', id, 'shares'],
      at: 'key',
      found: `shares that sum to ${Number(sum.toFixed(9))}`,
      allowed: 'shares that sum to 1',
      remedy: rest > 0 ? `add ${UPKEEP}: ${rest} if the rest serves no tank` : 'lower some of them',
    },
  ];
}

/** A plug's energy goes to one device; one that feeds none is counted and belongs to nobody. */
export function checkPlugs(view: View): Finding[] {
  const holders = new Map<string, string>();
  const findings: Finding[] = [];
  for (const [id, { plug }] of entriesOf(view.file.devices)) {
    if (plug === undefined) continue;
    const holder = holders.get(plug);
    if (holder === undefined) holders.set(plug, id);
    else {
      findings.push({
        code: 'AMP_CONFIG_PLUG_TWICE',
        path: ['devices', id, 'plug'],
        found: `the plug of ${holder}`,
        allowed: 'a plug that feeds no other device',
        remedy: 'leave plug out for one of the two: it is then reckoned',
      });
    }
  }
  if (view.ids('devices') === undefined) return findings;
  for (const plug of view.ids('plugs') ?? []) {
    if (holders.has(plug)) continue;
    findings.push({
      code: 'AMP_CONFIG_PLUG_IDLE',
      path: ['plugs', plug],
      at: 'key',
      found: 'a plug that feeds no device',
      allowed: 'it, but its energy is in no account',
      remedy: `give a device plug: ${plug}`,
      warning: true,
    });
  }
  return findings;
}
