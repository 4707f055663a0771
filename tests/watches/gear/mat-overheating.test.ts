import { describe, it } from 'vitest';
import { noise, play } from './script.ts';

const MAT = `
  kept 26..31
  set 29
  device mat heat-mat 25
  probe spot
`;

describe('a heat mat', () => {
  it('heats for an hour and its probe stays cold: told', () => {
    play(`${MAT}
      mat  24x90
      spot 22x90
      expect mat-overheating:mat not before +59m
      expect mat-overheating:mat warning by +65m
      expect mat-overheating:mat because full-duty-and-cold
      expect mat-overheating:mat possible
    `);
  });

  it('switches on and off: never', () => {
    play(`${MAT}
      mat  24x20 0x10 24x20 0x10 24x20 0x10 24x20 0x10
      spot 22x120
      expect mat-overheating:mat never
      expect mat-overheating:mat quiet at +25m because not-at-full-duty
    `);
  });

  it('warms up from a cold start: never', () => {
    play(`${MAT}
      mat  24x300
      spot 20..29x300
      expect mat-overheating:mat never
    `);
  });

  it('heats in a cool room, three kelvin short: never', () => {
    play(`${MAT}
      mat  24x200
      spot 26x200
      expect mat-overheating:mat never
      expect mat-overheating:mat quiet at +150m because warm-enough
    `);
  });

  it('has its probe put back: over', () => {
    play(`${MAT}
      mat  24x80 24x20 0x60
      spot 22x80 28x20 29x60
      expect mat-overheating:mat warning by +65m
      expect mat-overheating:mat closed by +120m
    `);
  });

  it('wavers at the limit for a day: told at most once', () => {
    const random = noise(11);
    const wavering = Array.from({ length: 1440 }, () => (24 + 0.2 * random()).toFixed(2));
    play(`${MAT}
      mat  24x1600
      spot 23x80 ${wavering.join(' ')} 29x80
      expect mat-overheating:mat told once
      expect mat-overheating:mat closed by +1590m
    `);
  });

  it('has a probe that is silent: nothing is known', () => {
    play(`${MAT}
      mat  24x120
      spot 22x20 _x100
      expect mat-overheating:mat never
      expect mat-overheating:mat unknown at +90m because probe-silent
    `);
  });
});
