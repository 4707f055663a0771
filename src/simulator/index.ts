export { type Chance, createChance } from './chance.ts';
export { FAULT_KINDS, type Fault, parseFault, tellingHeaters } from './faults.ts';
export type { Outgoing } from './feed-writer.ts';
export { createSimulator, type Simulator } from './simulator.ts';
export type { DeviceSpec, HouseSpec, PlugSpec, ProbeSpec, TankSpec } from './spec.ts';
export type { WrittenFeed, WrittenValue } from './written-feed.ts';
