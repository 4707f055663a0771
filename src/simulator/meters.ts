import { HOUR, type Instant } from '../units/index.ts';
import { type Fault, isOn } from './faults.ts';
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

export interface Meters {
  readonly plugs: ReadonlyMap<string, Metered>;
  /**
   * Counts the last `ms` of the house, with what its devices draw; gives the plugs that report now,
   * or that have just left the air. `interval`: how often they speak when nothing changes, ms.
   */
  step(house: House, ms: number, interval: number): PlugSpec[];
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
): Meters {
  const { faults, startWh, powerCuts } = options;
  const fitted = spec.plugs.map((plug) => ({
    plug,
    state: {
      watts: 0,
      counterWh: startWh(plug),
      online: true,
      reportedWatts: Number.NaN,
      reportedAt: 0 as Instant,
    } satisfies Metered as Metered,
    feeds: spec.devices.filter((device) => device.plug === plug.id).map(({ id }) => id),
    absences: faults.filter((fault) => fault.kind === 'plug-offline' && fault.plug === plug.id),
  }));

  return {
    plugs: new Map(fitted.map(({ plug, state }) => [plug.id, state])),
    step(house, ms, interval) {
      const { at } = house;
      const speaking: PlugSpec[] = [];
      const cut = powerCuts.some((moment) => moment > at - ms && moment <= at);
      for (const { plug, state, feeds, absences } of fitted) {
        state.watts = 0;
        for (const device of feeds) state.watts += house.devices.get(device)?.watts ?? 0;
        state.counterWh += (state.watts * ms) / HOUR;
        if (plug.wrapsAtWh !== undefined) state.counterWh %= plug.wrapsAtWh;
        if (cut && plug.forgetful) state.counterWh = 0;
        const gone = absences.some((absence) => isOn(absence, at));
        const due = at - state.reportedAt >= interval;
        const changed =
          plug.reporting === 'on-change' && worthTelling(state.reportedWatts, state.watts);
        const first = Number.isNaN(state.reportedWatts);
        if (gone ? state.online : due || changed || first || !state.online) {
          state.online = !gone;
          state.reportedWatts = state.watts;
          state.reportedAt = at;
          speaking.push(plug);
        }
      }
      return speaking;
    },
  };
}
