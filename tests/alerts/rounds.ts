import type { Look, Recipient } from '../../src/alerts/index.ts';
import type { Severity } from '../../src/watches/index.ts';
import { finding, look, minutes } from './looks.ts';
import type { postRoom } from './post-room.ts';

export const ID = 'heater-stuck-on:device/discus-heater:2026-11-25T09:14:00.000Z';
export const SPARE: Recipient = { name: 'spare', takes: 'messages', after: minutes(20) };
export const MQTT: Recipient = { name: 'mqtt', takes: 'states' };

export const says = (severity: Severity, id = 'discus-heater', tank?: string): Look =>
  look({ subject: { kind: 'device', id }, tank, finding: finding({ severity, hold: minutes(0) }) });
export const calm = (id = 'discus-heater'): Look =>
  look({ subject: { kind: 'device', id }, finding: finding({ verdict: 'quiet' }) });
export const silent = (id: string): Look =>
  look({
    watch: 'plug-silent',
    subject: { kind: 'plug', id },
    room: 'den',
    finding: finding({ hold: minutes(0) }),
  });

export type Room = ReturnType<typeof postRoom>;
export const lookEach = (
  room: Room,
  from: number,
  to: number,
  every: number,
  ...looks: Look[]
): void => {
  for (let minute = from; minute <= to; minute += every) room.look(minute, ...looks);
};
