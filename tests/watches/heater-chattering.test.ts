import { describe, it } from 'vitest';
import { play } from './scenario.ts';

const RATTLE = '148 0 148x2 0 148 0x3 148 0 148x2 0x2 148x3 0 148 0 148x2 0x3 148';

describe('a contact that rattles', () => {
  it('is found after a dozen switchings within ten minutes', () => {
    play(`
      usual 6 cycles
      every 10s
      water  25.2x120
      heater 148x20 ${RATTLE} ${RATTLE} ${RATTLE} 148x20
      expect heater-chattering not before +4m
      expect heater-chattering warning by +10m
      expect heater-chattering because switches-too-often
      expect heater-chattering likely
      expect heater-weak never
    `);
  });

  it('is over half an hour after it fell still, and not lost in a restart', () => {
    play(`
      usual 6 cycles
      every 10s
      restart at +9m
      water  25.2x400
      heater 148x20 ${RATTLE} ${RATTLE} 148x330
      expect heater-chattering warning by +12m
      expect heater-chattering closed by +66m
    `);
  });

  it('is only possible without a probe', () => {
    play(`
      without water
      every 10s
      heater 148x20 ${RATTLE} ${RATTLE} 148x20
      expect heater-chattering warning by +12m
      expect heater-chattering possible
    `);
  });
});

describe('a heater that switches often and does not rattle', () => {
  it('is dosed by a controller in even pulses, the longer the colder it is', () => {
    play(`
      usual 6 cycles
      every 10s
      water  25.2x48
      heater 148x3 0x3 148x3 0x3 148x2 0x4 148x2 0x4 148x3 0x3 148x4 0x2 148x4 0x2 148x4 0x2
      again 4
      expect heater-chattering never
      expect heater-chattering quiet at +28m because pulses-evenly
    `);
  });

  it('cycles every few minutes in a small tank', () => {
    play(`
      every 10s
      water  25.2x15
      heater 148x6 0x9
      again 12
      expect heater-chattering never
    `);
  });

  it('is plugged in with a spark or two', () => {
    play(`
      usual 6 cycles
      every 10s
      water  25.2x120
      heater 0x10 148 0 148 0x2 148 0 148x100
      expect heater-chattering never
    `);
  });
});
