import { describe, expect, it } from 'vitest';
import {
  createChance,
  FAULT_KINDS,
  faultKinds,
  parseFault,
  tellingHeaters,
} from '../../src/simulator/index.ts';
import { CodedError, HOUR } from '../../src/units/index.ts';
import { device, fishRoom, nook, START, tank } from './houses.ts';

const { spec } = fishRoom();
const parse = (text: string, seed = 1) => parseFault(text, spec, createChance(seed), START);

function refusal(text: string): CodedError {
  try {
    parse(text);
  } catch (error) {
    if (error instanceof CodedError) return error;
    throw error;
  }
  throw new Error(`'${text}' was taken`);
}

describe('a fault as it is written on the command line', () => {
  it('names what fails, or leaves it to chance among what will show', () => {
    expect(parse('stuck-on:discus-heater-left')).toEqual({
      kind: 'stuck-on',
      device: 'discus-heater-left',
      from: START,
    });
    expect(parse('plug-offline:wall-07')).toMatchObject({ plug: 'wall-07' });
    const picked = new Set(
      Array.from({ length: 60 }, (_, seed) => {
        const fault = parse('dead-heater', seed);
        return 'device' in fault ? fault.device : '';
      }),
    );
    expect(picked.size).toBeGreaterThan(4);
    for (const id of picked) expect(tellingHeaters(spec)).toContain(id);
  });

  it('is the same for the same seed', () => {
    for (const kind of faultKinds(spec)) expect(parse(kind, 5)).toEqual(parse(kind, 5));
  });

  it('may be of every kind for which the house has something that can fail', () => {
    expect(FAULT_KINDS).toHaveLength(19);
    // No tank of the fish room has both a heater and a chiller.
    expect(FAULT_KINDS.filter((kind) => !faultKinds(spec).includes(kind))).toEqual([
      'fighting-chiller',
    ]);
    for (const kind of faultKinds(spec)) expect(parse(kind)).toMatchObject({ kind, from: START });
    const cooled = nook({ devices: [device(), device({ id: 'cooler', kind: 'chiller' })] });
    expect(faultKinds(cooled)).toContain('fighting-chiller');
  });

  it('lets a cold night end with the night, and the others last', () => {
    expect(parse('cold-night')).toEqual({
      kind: 'cold-night',
      from: START,
      until: START + 12 * HOUR,
    });
    for (const kind of ['stuck-on', 'dead-heater', 'plug-offline']) {
      expect(parse(kind)).not.toHaveProperty('until');
    }
  });

  it('is refused with what is allowed when there is no such kind or target', () => {
    for (const text of ['', 'flood', 'stuck-on ', 'STUCK-ON']) {
      const { code, message, remedy } = refusal(text);
      expect(code).toBe('AMP_DEMO_FAULT');
      expect(message).toContain(`'${text}'`);
      for (const kind of faultKinds(spec)) expect(remedy).toContain(kind);
    }
    for (const text of ['stuck-on:', 'stuck-on:planted-light', 'dead-heater:shelf-1:x']) {
      expect(refusal(text).code).toBe('AMP_DEMO_FAULT');
      expect(refusal(text).remedy).toContain('guppies-heater');
    }
    expect(refusal('plug-offline:clamp-1').remedy).toContain('wall-07');
    expect(refusal('cold-night:yard').remedy).toContain("'cold-night'");
  });

  it('is refused in a house that has nothing to fail', () => {
    const bare = nook({ devices: [], plugs: [] });
    expect(() => parseFault('stuck-on', bare, createChance(1), START)).toThrow(CodedError);
  });
});

describe('the heaters whose failing shows', () => {
  it('are alone in an indoor tank and strong enough to overheat it', () => {
    expect(tellingHeaters(nook())).toEqual(['reed-heater']);
    const two = nook({ devices: [device(), device({ id: 'second', plug: undefined })] });
    expect(tellingHeaters(two)).toEqual([]);
    expect(tellingHeaters(nook({ devices: [device({ watts: 50 })] }))).toEqual([]);
    expect(tellingHeaters(nook({ tanks: [tank({ set: 20 })] }))).toEqual([]);
    expect(tellingHeaters(nook({ rooms: [{ id: 'nook', outdoors: true }] }))).toEqual([]);
  });

  it('are several in the fish room of the demo', () => {
    expect(tellingHeaters(spec).length).toBeGreaterThan(4);
    expect(tellingHeaters(spec)).not.toContain('trough-heater');
  });
});
