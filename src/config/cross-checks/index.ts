import type { Finding } from '../problem.ts';
import { checkDevices } from './devices.ts';
import { checkFeeds, checkReach } from './feeds.ts';
import { checkNotify } from './notify.ts';
import { checkPlugs } from './plugs.ts';
import { checkSite } from './site.ts';
import { checkHeatersHaveProbes, checkProbes, checkTanks } from './tanks.ts';
import { checkTariffs } from './tariffs.ts';
import type { View } from './view.ts';
import { checkWatches } from './watches.ts';

export { createView } from './view.ts';

/** What no single room can see: one part of the file held against another. */
const CHECKS: readonly ((view: View) => Finding[])[] = [
  checkSite,
  checkTanks,
  checkProbes,
  checkHeatersHaveProbes,
  checkDevices,
  checkPlugs,
  checkFeeds,
  checkReach,
  checkTariffs,
  checkWatches,
  checkNotify,
];

export function crossCheck(view: View): Finding[] {
  return CHECKS.flatMap((check) => check(view));
}
