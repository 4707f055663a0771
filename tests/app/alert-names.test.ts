import { describe, expect, it } from 'vitest';
import { alertNames } from '../../src/app/alert-names.ts';
import type { Subject } from '../../src/watches/index.ts';
import { loft } from './loft.ts';

describe('the names that alerts use', () => {
  const names = alertNames(loft());
  const of = (kind: Subject['kind'], id: string): Subject => ({ kind, id });

  it('are those of the config, or none where it gives none', () => {
    expect(names.name(of('tank', 'tub'))).toBe('The tub');
    expect(names.name(of('tank', 'reeds'))).toBeUndefined();
    expect(names.name(of('room', 'loft'))).toBe('Loft');
    expect(names.name(of('device', 'tub-heater'))).toBe('Tub heater');
    expect(names.name(of('probe', 'tub-water'))).toBe('Long probe');
    expect(names.name(of('probe', 'gone'))).toBeUndefined();
  });

  it('say of a plug what is on it', () => {
    expect(names.name(of('plug', 'one'))).toBe('one, on it Tub heater');
    expect(names.name(of('plug', 'two'))).toBe('Second socket, on it tub-filter');
    expect(names.name(of('plug', 'idle'))).toBe('idle');
  });

  it('say of a strip all that is on it, where it serves one tank that one, and not what is gone', () => {
    const strip = alertNames(
      loft(
        ['idle: {}', 'strip: { name: Wall strip, remainder: tub-pump }'],
        [
          '  blower:',
          `  tub-pump: { kind: pump, nameplate_w: 8, plug: strip, tank: tub }
  tub-light: { name: Tub light, kind: light, nameplate_w: 20, plug: strip, tank: reeds, moved: [{ on: '2026-03-03', tank: tub }] }
  old-light: { kind: light, nameplate_w: 20, plug: strip, tank: reeds, until: '2026-03-03' }
  tub-air: { kind: air-pump, nameplate_w: 4, plug: strip, tank: tub }
  blower:`,
        ],
      ),
    );
    expect(strip.name(of('plug', 'strip'))).toBe(
      'Wall strip, on it tub-pump, Tub light and tub-air',
    );
    expect(strip.place?.(of('plug', 'strip'))).toEqual(of('tank', 'tub'));
    expect(strip.place?.(of('device', 'tub-light'))).toEqual(of('tank', 'tub'));
  });

  it('know of no place of a strip that serves several tanks', () => {
    const strip = alertNames(
      loft(
        [
          '  blower:',
          '  reed-pump: { kind: pump, nameplate_w: 8, plug: three, tank: reeds }\n  blower:',
        ],
        ['at-power-on,', 'at-power-on, remainder: sand-mat,'],
      ),
    );
    expect(strip.name(of('plug', 'three'))).toBe('three, on it sand-mat and reed-pump');
    expect(strip.place?.(of('plug', 'three'))).toBeUndefined();
  });

  it('know where a thing is: in its tank, else in its room', () => {
    const place = (kind: Subject['kind'], id: string) => names.place?.(of(kind, id));
    expect(place('device', 'tub-heater')).toEqual(of('tank', 'tub'));
    expect(place('plug', 'three')).toEqual(of('tank', 'sand'));
    expect(place('tank', 'sand')).toEqual(of('room', 'den'));
    expect(place('probe', 'tub-water')).toEqual(of('tank', 'tub'));
    expect(place('probe', 'loft-air')).toEqual(of('room', 'loft'));
    expect(place('room', 'loft')).toBeUndefined();
    // What serves several tanks, or the site as a whole, is in none of them.
    expect(place('device', 'blower')).toBeUndefined();
    expect(place('device', 'lamp')).toBeUndefined();
    expect(place('plug', 'idle')).toBeUndefined();
    expect(place('device', 'constructor')).toBeUndefined();
  });

  it('know a tank of air from one of water', () => {
    expect(names.isDry?.(of('tank', 'sand'))).toBe(true);
    expect(names.isDry?.(of('tank', 'tub'))).toBe(false);
    expect(names.isDry?.(of('tank', 'gone'))).toBe(false);
  });
});
