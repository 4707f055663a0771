import type { Measured, TankView } from './room-view.ts';

/** How a tank's temperature stands to its kept range; what asks for a look first. */
export const FITS = ['above', 'below', 'stale', 'unknown', 'within', 'unprobed'] as const;
export type Fit = (typeof FITS)[number];

export function fitOf(tank: Pick<TankView, 'temperature' | 'hasProbe' | 'keep'>): Fit {
  const { temperature, hasProbe, keep } = tank;
  if (temperature === undefined) return hasProbe ? 'unknown' : 'unprobed';
  if (temperature.stale) return 'stale';
  if (temperature.value < keep.min) return 'below';
  return temperature.value > keep.max ? 'above' : 'within';
}

/** Where a value stands between `low` and `high`, 0–1; beyond an end it stands at that end. */
export function position(value: number, low: number, high: number): number {
  return Math.min(1, Math.max(0, (value - low) / (high - low)));
}

/** What is out of its kept range stands first; the rest keeps its order, so that it is found. */
export function urgentFirst(tanks: readonly TankView[]): TankView[] {
  const isOut = (tank: TankView): boolean => ['above', 'below'].includes(fitOf(tank));
  return [...tanks.filter(isOut), ...tanks.filter((tank) => !isOut(tank))];
}

export function byFit(tanks: readonly TankView[]): Map<Fit, TankView[]> {
  const groups = new Map<Fit, TankView[]>();
  for (const fit of FITS) {
    const found = tanks.filter((tank) => fitOf(tank) === fit);
    if (found.length > 0) groups.set(fit, found);
  }
  return groups;
}

export const isCurrent = (measured: Measured | undefined): measured is Measured =>
  measured !== undefined && !measured.stale;
