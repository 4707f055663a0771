import { describe, expect, it } from 'vitest';
import type { Fault } from '../../src/simulator/index.ts';
import { createChance } from '../../src/simulator/index.ts';
import { HOUR, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { subject } from './house.ts';
import { judgeAlert } from './judge.ts';
import { placeOf } from './place.ts';
import { SYMPTOMS } from './symptoms.ts';
import { beginTrial, closeTrial, markFound, type Trial, watchRule } from './trial.ts';

const T0 = Date.UTC(2025, 0, 10) as Instant;
const { config } = subject(createChance(1)).house;

function trialOf(fault: Fault): Trial {
  return beginTrial({
    fault,
    place: placeOf(fault, config),
    symptoms: SYMPTOMS[fault.kind],
    endsBy: later(T0, 10 * HOUR),
    setBefore: undefined,
    wattsBefore: undefined,
  });
}

const dead = (): Trial => trialOf({ kind: 'dead-heater', device: 'tetras-heater', from: T0 });
const window = (): Trial => trialOf({ kind: 'open-window', room: 'den', from: T0 });
const device = (id: string) => ({ kind: 'device', id }) as const;
const tank = (id: string) => ({ kind: 'tank', id }) as const;
const never = () => false;

describe('an alert', () => {
  it('tells a fault when its watch speaks of the very thing that broke', () => {
    const trial = dead();
    const alert = { watch: 'heater-not-heating', subject: device('tetras-heater') } as const;
    expect(judgeAlert(alert, [trial], never)).toEqual({ is: 'told', trial });
  });

  it('tells nothing when the watch speaks of another heater', () => {
    const alert = { watch: 'heater-not-heating', subject: device('barbs-heater') } as const;
    expect(judgeAlert(alert, [dead()], never)).toEqual({ is: 'false' });
  });

  it('follows from a fault when the tank gets cold', () => {
    const trial = dead();
    const alert = { watch: 'tank-too-cold', subject: tank('tetras') } as const;
    expect(judgeAlert(alert, [trial], never)).toEqual({ is: 'consequence', trial });
  });

  it('follows from an open window in every tank of the room, and in no other room', () => {
    const trial = window();
    const inRoom = { watch: 'heater-overmatched', subject: device('nano-heater') } as const;
    const elsewhere = { watch: 'heater-overmatched', subject: device('reef-heater') } as const;
    expect(judgeAlert(inRoom, [trial], never)).toEqual({ is: 'consequence', trial });
    expect(judgeAlert(elsewhere, [trial], never)).toEqual({ is: 'false' });
  });

  it('is false of a watch that the fault has nothing to do with', () => {
    const alert = { watch: 'heater-weak', subject: device('tetras-heater') } as const;
    expect(judgeAlert(alert, [dead()], never)).toEqual({ is: 'false' });
  });

  it('is true without a fault when it says what is so', () => {
    const alert = { watch: 'tank-too-warm', subject: tank('tetras') } as const;
    expect(judgeAlert(alert, [], () => true)).toEqual({ is: 'true' });
  });
});

describe('a trial', () => {
  const hold = 60 * MINUTE;

  /** Lets the rule hold from T0 for so many minutes. */
  function held(trial: Trial, minutes: number): Trial {
    for (let minute = 0; minute <= minutes; minute += 1) {
      watchRule(trial, hold, later(T0, minute * MINUTE));
    }
    return trial;
  }

  const told = (trial: Trial, minutes: number) =>
    markFound(trial, { at: later(T0, minutes * MINUTE), watch: 'heater-not-heating' });

  it('is found when it is told within twice the hold', () => {
    const trial = held(dead(), 70);
    told(trial, 70);
    const { outcome, found } = closeTrial(trial);
    expect(outcome).toBe('found');
    expect(found?.delay).toBe(70 * MINUTE);
  });

  it('is late when it is told after twice the hold', () => {
    const trial = held(dead(), 121);
    told(trial, 121);
    expect(closeTrial(trial).outcome).toBe('late');
  });

  it('is missed when the rule held for twice its hold and nobody told', () => {
    const { outcome, heldSince } = closeTrial(held(dead(), 121));
    expect(outcome).toBe('missed');
    expect(heldSince).toBe(T0);
  });

  it('is not late for time in which nobody was to be told', () => {
    const trial = dead();
    for (let minute = 0; minute <= 150; minute += 1) {
      watchRule(trial, hold, later(T0, minute * MINUTE));
      if (minute < 40) trial.muted += MINUTE;
    }
    told(trial, 150);
    const { outcome, found } = closeTrial(trial);
    expect([outcome, found?.delay]).toEqual(['found', 110 * MINUTE]);
  });

  it('has not shown when the rule did not hold for so long in one go', () => {
    const trial = held(dead(), 100);
    watchRule(trial, undefined, later(T0, 101 * MINUTE));
    for (let minute = 102; minute <= 202; minute += 1) {
      watchRule(trial, hold, later(T0, minute * MINUTE));
    }
    expect(closeTrial(trial).outcome).toBe('unshown');
  });

  it('is found without delay when it is told before it shows', () => {
    const trial = dead();
    told(trial, 5);
    const { outcome, found } = closeTrial(trial);
    expect([outcome, found?.delay]).toEqual(['found', 0]);
  });
});
