import { HOUR, type Instant } from '../units/index.ts';
import type { Fault } from './faults.ts';
import type { House } from './physics.ts';
import type { HouseSpec, PlugSpec } from './spec.ts';

/** What a simulated plug knows of itself. */
export interface Metered {
  watts: number;
  /** The counter as the plug shows it, Wh. */
  counterWh: number;
  online: boolean;
  reportedWatts: number;
  reportedAt: Instant;
}

/** A change smaller than this is not worth a message to a plug that reports on change. */
const worthTelling = (before: number, now: number): boolean =>
  Math.abs(now - before) > Math.max(2, 0.08 * before);

/** Counts what the devices draw, and says which plugs have something to report. */
export function createMeters(
  spec: HouseSpec,
  options: {
    faults: readonly Fault[];
    startWh: (plug: PlugSpec) => number;
    powerCuts: readonly Instant[];
  },
): {
  readonly plugs: ReadonlyMap<string, Metered>;
  /** Counts `ms` of the house as it stands; gives the plugs that report now. */
  step(house: House, ms: number, interval: number): PlugSpec[];
} {
  const plugs = new Map<string, Metered>(
    spec.plugs.map((plug) => [
      plug.id,
      {
        watts: 0,
        counterWh: options.startWh(plug),
        online: true,
        reportedWatts: Number.NaN,
        reportedAt: 0 as Instant,
      },
    ]),
  );
  const fedBy = new Map<string, string[]>();
  for (const device of spec.devices) {
    if (device.plug === undefined) continue;
    fedBy.set(device.plug, [...(fedBy.get(device.plug) ?? []), device.id]);
  }
  const offline = new Map(
    options.faults.flatMap((fault) =>
      fault.kind === 'plug-offline' ? [[fault.plug, fault.from] as const] : [],
    ),
  );

  return {
    plugs,
    step(house, ms, interval) {
      const speaking: PlugSpec[] = [];
      for (const plug of spec.plugs) {
        const state = plugs.get(plug.id) as Metered;
        state.watts = 0;
        for (const device of fedBy.get(plug.id) ?? []) {
          state.watts += house.devices.get(device)?.watts ?? 0;
        }
        state.counterWh += (state.watts * ms) / HOUR;
        if (plug.wrapsAtWh !== undefined) state.counterWh %= plug.wrapsAtWh;
        const cut = options.powerCuts.some((at) => at > house.at - ms && at <= house.at);
        if (cut && plug.forgetful) state.counterWh = 0;
        const gone = (offline.get(plug.id) ?? Number.POSITIVE_INFINITY) <= house.at;
        const due = house.at - state.reportedAt >= interval;
        const changed =
          plug.reporting === 'on-change' && worthTelling(state.reportedWatts, state.watts);
        if (gone ? state.online : due || changed || !(state.reportedWatts >= 0)) {
          state.online = !gone;
          state.reportedWatts = state.watts;
          state.reportedAt = house.at;
          speaking.push(plug);
        }
      }
      return speaking;
    },
  };
}
