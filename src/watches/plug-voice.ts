import { type Instant, MINUTE } from '../units/index.ts';
import { patienceOf, type Sights } from './sights.ts';

/** Why a device's plug tells nothing, or that it speaks. */
export type PlugVoice =
  | 'speaks'
  | 'no-plug'
  | 'plug-shared' // what else hangs on the plug cannot be told from it
  | 'no-power-seen'
  | 'plug-silent'
  | 'plug-gone';

/** A device as it hangs on its plug. */
interface Plugged {
  readonly plug: string | undefined;
  /** False where other devices hang there too. */
  readonly alone: boolean;
}

/** What a device draws now, W, and when that was told; undefined where its plug does not tell. */
export function powerNow(
  sights: Sights,
  device: Plugged,
  now: Instant,
): { readonly power: number; readonly at: Instant | undefined } | undefined {
  if (voiceOf(sights, device, now) !== 'speaks') return undefined;
  const { power, powerAt } = sights.plugs.get(device.plug ?? '')?.sight ?? {};
  return power === undefined ? undefined : { power, at: powerAt };
}

/** Whether the plug of a device tells now what that draws. */
export function voiceOf(sights: Sights, { plug: id, alone }: Plugged, now: Instant): PlugVoice {
  const plug = id === undefined ? undefined : sights.plugs.get(id);
  if (plug === undefined) return 'no-plug';
  if (!alone) return 'plug-shared';
  const { presence, heard, powerAt } = plug.sight;
  if (presence === 'gone') return 'plug-gone';
  if (powerAt === undefined) return 'no-power-seen';
  const silence = now - (heard ?? powerAt);
  if (silence <= plug.plan.config.silence.at_least_min * MINUTE) return 'speaks';
  const patience = patienceOf(plug, now);
  // A plug that reports on change and is known to be on the air stands by its last word.
  const standsByIt = plug.manner === 'on-change' && presence === 'on' && patience.from !== 'told';
  return silence > patience.allowed && !standsByIt ? 'plug-silent' : 'speaks';
}
