export { createChance } from './chance.ts';
export { FAULT_KINDS, type Fault, parseFault } from './faults.ts';
export type { Outgoing, WrittenFeed } from './feed-writer.ts';
export { createSimulator, type Simulator } from './simulator.ts';
export type { DeviceSpec, HouseSpec, PlugSpec, ProbeSpec, TankSpec } from './spec.ts';
