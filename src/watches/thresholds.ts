import type { WatchesConfig } from './config.ts';

type Blocks = Readonly<Record<string, object | undefined>>;
type Housing = NonNullable<WatchesConfig['overrides'][number]['housing']>;

/**
 * Shipped for housings that are not aquariums. Common practice, no source: the air of a terrarium
 * differs by kelvins from lamp to burrow, and a pond's surface warms in every noon's sun. The
 * description of `overrides` names them.
 */
const AIR = { out_of_range: { hold_min: 30, critical_beyond_k: 4, reenter_k: 0.5 } };
const SHIPPED: Readonly<Partial<Record<Housing, Blocks>>> = {
  terrarium: AIR,
  vivarium: AIR,
  pond: { out_of_range: { hold_min: 60, critical_beyond_k: 3 } },
};

/** For what thresholds are asked: itself, and what it is in. */
export interface Fits {
  readonly housing?: Housing | undefined;
  readonly room?: string | undefined;
  readonly tank?: string | undefined;
  readonly device?: string | undefined;
  readonly plug?: string | undefined;
  readonly probe?: string | undefined;
}

function laidOver(config: WatchesConfig, blocks: Blocks): WatchesConfig {
  const changed = Object.entries(blocks).filter(([, told]) => told !== undefined);
  if (changed.length === 0) return config;
  const merged = changed.map(([key, told]) => [
    key,
    { ...(config[key as keyof WatchesConfig] as object), ...defined(told as object) },
  ]);
  return { ...config, ...Object.fromEntries(merged) };
}

/** Under exact optional keys an absent value may still be there as undefined. */
const defined = (told: object): object =>
  Object.fromEntries(Object.entries(told).filter(([, value]) => value !== undefined));

/**
 * The thresholds that hold for something: the site's, what is shipped for its housing laid over
 * them, then each override that names it or what it is in, in the order of the file. The site's own
 * object comes back where nothing is laid over.
 */
export function thresholdsFor(config: WatchesConfig, fits: Fits): WatchesConfig {
  const shipped = (fits.housing && SHIPPED[fits.housing]) ?? {};
  return config.overrides.reduce(
    (found, { rooms, tanks, devices, plugs, probes, housing, ...blocks }) =>
      rooms?.includes(fits.room ?? '') ||
      tanks?.includes(fits.tank ?? '') ||
      devices?.includes(fits.device ?? '') ||
      plugs?.includes(fits.plug ?? '') ||
      probes?.includes(fits.probe ?? '') ||
      (housing !== undefined && housing === fits.housing)
        ? laidOver(found, blocks)
        : found,
    laidOver(config, shipped),
  );
}
