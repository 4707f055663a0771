import type { Millis, WattHours, Watts } from '../units/index.ts';
import type { PlugConfig } from './config.ts';
import type { MeterSpec } from './meter.ts';

const ms = (seconds: number | undefined): Millis | undefined =>
  seconds === undefined ? undefined : ((seconds * 1000) as Millis);

/** How to meter one plug, from its config and from what its device needs. */
export const meterSpec = (
  plug: string,
  config: PlugConfig,
  device: Pick<MeterSpec, 'bridge' | 'drawing'>,
): MeterSpec => ({
  plug,
  limit: config.limit_w as Watts,
  reporting: config.reporting,
  usualInterval: ms(config.usual_interval_s),
  maxGap: ms(config.max_gap_s),
  counterRestarts: config.counter_restarts,
  counterWrapsAt: config.counter_wraps_at_wh as WattHours | undefined,
  bridge: device.bridge,
  drawing: device.drawing,
});
