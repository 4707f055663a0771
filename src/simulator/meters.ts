import { HOUR, type Instant } from '../units/index.ts';
import type { DeviceState } from './controls.ts';
import type { Afflictions } from './faults/afflictions.ts';
import type { PlugAilment } from './faults/ailments.ts';
import type { LostReports } from './lost-reports.ts';
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
  step(ms: number, interval: number): readonly PlugSpec[];
}

/** A change smaller than this is not worth a message to a plug that reports on change. */
const worthTelling = (before: number, now: number): boolean =>
  Math.abs(now - before) > Math.max(2, 0.08 * before);

/** Counts what the devices draw, and says which plugs have something to report. */
export function createMeters(
  spec: HouseSpec,
  house: House,
  options: {
    afflictions: Afflictions;
    startWh: (plug: PlugSpec) => number;
    /** Blinks of the mains, too short for a plug to leave the air. */
    powerCuts: readonly Instant[];
    lostReports?: LostReports | undefined;
  },
): Meters {
  const { afflictions, startWh, powerCuts, lostReports } = options;
  const fitted = spec.plugs.map((plug, index) => ({
    plug,
    index,
    state: {
      watts: 0,
      counterWh: startWh(plug),
      online: true,
      reportedWatts: Number.NaN,
      reportedAt: 0 as Instant,
    } satisfies Metered as Metered,
    ailment: afflictions.plugs.get(plug.id) as PlugAilment,
    feeds: spec.devices
      .filter((device) => device.plug === plug.id)
      .map(({ id }) => house.devices.get(id) as DeviceState),
  }));
  const speaking: PlugSpec[] = [];

  return {
    plugs: new Map(fitted.map(({ plug, state }) => [plug.id, state])),
    step(ms, interval) {
      const { at } = house;
      speaking.length = 0;
      const blink = powerCuts.some((moment) => moment > at - ms && moment <= at);
      for (const { plug, index, state, ailment, feeds } of fitted) {
        state.watts = 0;
        for (const device of feeds) state.watts += device.watts;
        state.counterWh += (state.watts * ms) / HOUR;
        if (plug.wrapsAtWh !== undefined) state.counterWh %= plug.wrapsAtWh;
        if (plug.forgetful && (blink || ailment.powerless)) state.counterWh = 0;
        const gone = ailment.offAir || ailment.powerless;
        const due = at - state.reportedAt >= interval;
        const changed =
          plug.reporting === 'on-change' && worthTelling(state.reportedWatts, state.watts);
        const first = Number.isNaN(state.reportedWatts);
        if (gone ? state.online : due || changed || first || !state.online) {
          const moves = state.online === gone;
          state.online = !gone;
          state.reportedWatts = state.watts;
          state.reportedAt = at;
          // What is lost was said all the same, so the plug does not say it again.
          if (moves || !lostReports?.loses(index, at)) speaking.push(plug);
        }
      }
      return speaking;
    },
  };
}
