import type { DeviceAilment, Drift, ProbeAilment } from './ailments.ts';
import type { Fault } from './fault.ts';

/** What a fault does to its device. `drifts`: how the device's set point has wandered so far. */
export function symptomOf(
  fault: Extract<Fault, { readonly device: string }>,
  drifts: readonly Drift[],
): Partial<DeviceAilment> {
  switch (fault.kind) {
    case 'stuck-on':
    case 'light-stays-on':
      return { forced: true };
    case 'dead-heater':
    case 'stopped-pump':
    case 'light-stays-off':
      return { forced: false };
    case 'weak-heater':
    case 'laboring-pump':
      return { part: fault.part };
    case 'drifting-heater':
      return { drifts: [...drifts, fault] };
    case 'chattering-heater':
      return { flutters: true };
    case 'dry-heater':
      return { outOfWater: true };
    case 'fighting-chiller':
      return { setSlipped: true };
  }
}

/** What a fault does to its probe. */
export function probeSymptomOf(
  fault: Extract<Fault, { readonly probe: string }>,
): Partial<ProbeAilment> {
  switch (fault.kind) {
    case 'displaced-probe':
      return { displacedSince: fault.from };
    case 'frozen-probe':
      return { frozen: true };
    case 'silent-probe':
      return { silent: true };
  }
}
