import { Calendar, type Millis, type WattHours, type Watts } from '../units/index.ts';
import type { PlugConfig } from './config.ts';
import type { MeterSpec } from './meter.ts';

const ms = (seconds: number | undefined): Millis | undefined =>
  seconds === undefined ? undefined : ((seconds * 1000) as Millis);

/**
 * How to meter one plug, from its config and from what its device needs.
 *
 * @param zone the site's, in which a plug's clock goes unless its config says otherwise
 * @throws CodedError AMP_CALENDAR_ZONE for an unknown zone; the config schema refuses it before
 */
export const meterSpec = (
  plug: string,
  config: PlugConfig,
  device: Pick<MeterSpec, 'bridge' | 'drawing'>,
  zone: string,
): MeterSpec => ({
  plug,
  limit: config.limit_w as Watts,
  reporting: config.reporting,
  usualInterval: ms(config.usual_interval_s),
  maxGap: ms(config.max_gap_s),
  counterRestarts: config.counter_restarts,
  calendar:
    config.counter_restarts === 'at-midnight' ? new Calendar(config.clock_zone ?? zone) : undefined,
  counterWrapsAt: config.counter_wraps_at_wh as WattHours | undefined,
  bidirectional: config.bidirectional,
  signed: config.bidirectional || Object.values(config.registers ?? {}).includes('subtract'),
  registers:
    config.registers === undefined
      ? undefined
      : new Map(Object.entries(config.registers).map(([id, way]) => [id, way === 'add' ? 1 : -1])),
  bridge: device.bridge,
  drawing: device.drawing,
});
