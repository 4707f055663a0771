import { describe, expect, it } from 'vitest';
import { type Alert, alertText, readMemory, renderText } from '../../src/alerts/index.ts';
import { DAY, HOUR, MINUTE } from '../../src/units/index.ts';
import type { Evidence } from '../../src/watches/index.ts';
import { evidence } from './looks.ts';
import { closed, now, SAMPLES, write } from './samples.ts';

const learnedOver = evidence('learned-over', 12 * DAY, 'ms');
const linesOf = (alert: Alert, proof: readonly Evidence[]): readonly string[] =>
  alertText({ ...alert, evidence: proof }, write, now).evidence;

describe('the time that is left', () => {
  const left = evidence('time-to-kept-max', 6.5 * HOUR, 'ms');
  const stuck = SAMPLES['heater-stuck-on'];

  it('is told with its band and the days it was learned over', () => {
    const banded = { ...left, low: 5.02 * HOUR, high: 8.97 * HOUR };
    expect(linesOf(stuck, [banded, learnedOver])).toEqual([
      'If this goes on, it passes the kept maximum in about 6 h 30 min (as learned over 12 days: 5 h to 9 h).',
    ]);
  });

  it('is told with its soonest where it may as well never come', () => {
    const open = { ...left, low: 5 * HOUR };
    expect(linesOf(stuck, [open, learnedOver])).toEqual([
      'If this goes on, it passes the kept maximum in about 6 h 30 min (as learned over 12 days: 5 h at the soonest).',
    ]);
  });

  it('says when it is only reckoned from the tank’s size', () => {
    expect(linesOf(stuck, [left])).toEqual([
      'If this goes on, it passes the kept maximum in about 6 h 30 min (reckoned from its size).',
    ]);
  });
});

describe('a tank out of its range', () => {
  const draws = (id: string, watts: number): Evidence => ({
    ...evidence('draws', watts, 'W'),
    subject: { kind: 'device', id },
  });
  const proof = [
    draws('discus-heater', 0.2),
    draws('lamp', 38),
    { ...evidence('time-to-be-back', 3 * HOUR, 'ms'), low: 2 * HOUR, high: 5 * HOUR },
    learnedOver,
  ];

  it('says by name what draws and what does not, and when it is back', () => {
    expect(linesOf(SAMPLES['tank-too-warm'], proof)).toEqual([
      'Drawing now: lamp (38 W); drawing nothing: Left heater.',
      'With its heaters off it is back in its range in about 3 h (as learned over 12 days: 2 h to 5 h).',
    ]);
    expect(linesOf(SAMPLES['tank-too-cold'], proof.slice(0, 1))).toEqual([
      'Drawing nothing: Left heater.',
    ]);
  });
});

describe('what a heater lacks, and what its heat is worth', () => {
  it('are told by what was learned', () => {
    const short = { ...evidence('short-by', 37, 'W'), low: 31, high: 43 };
    expect(linesOf(SAMPLES['heater-overmatched'], [short, learnedOver])).toContain(
      'To hold its temperature in this room about 37 W are missing (as learned over 12 days: 31 W to 43 W).',
    );
    const worth = evidence('heat-worth', 1.2, 'K');
    expect(linesOf(SAMPLES['heater-unheard'], [worth, learnedOver])).toContain(
      'Within two hours its heat should have warmed the tank by 1.2 °C (as learned over 12 days).',
    );
  });
});

describe('a room that gets cold', () => {
  const tank = (id: string) => ({ subject: { kind: 'tank', id } as const });
  const proof: Evidence[] = [
    evidence('room-temperature', 12.1, 'C'),
    { ...evidence('holds-down-to', 16.4, 'C'), ...tank('discus') },
    { ...evidence('learned-over', 20 * DAY, 'ms'), ...tank('discus') },
    {
      ...evidence('time-to-kept-min', 3 * HOUR, 'ms'),
      ...{ low: 2.5 * HOUR, high: 4 * HOUR },
      ...tank('discus'),
    },
    { ...evidence('holds-down-to', 13.1, 'C'), ...tank('reeds') },
    { ...evidence('time-to-kept-min', 7 * HOUR + 15 * MINUTE, 'ms'), ...tank('reeds') },
    { ...evidence('holds-down-to', 12.6, 'C'), ...tank('moss') },
    { ...evidence('time-to-kept-min', 0, 'ms'), ...tank('moss') },
    evidence('tanks-short', 0.4, 'fraction'),
  ];
  const cooling = SAMPLES['room-cooling'];

  it('names the tanks that will not hold, and says when and how that is known', () => {
    expect(linesOf(cooling, proof)).toEqual([
      'The room is 12.1 °C.',
      'Discus basin will not hold: its heaters are enough down to a room of 16.4 °C. It passes its kept minimum in about 3 h (as learned over 20 days: 2 h 30 min to 4 h).',
      'reeds will not hold: its heaters are enough down to a room of 13.1 °C. It passes its kept minimum in about 7 h 10 min (reckoned from its size).',
      'moss will not hold: its heaters are enough down to a room of 12.6 °C (reckoned from its size). It is already below its kept minimum.',
      'So it is with 40% of the heated tanks here.',
    ]);
  });

  it('says how much colder it may get where all tanks hold still', () => {
    expect(linesOf(cooling, [evidence('room-temperature', 17, 'C'), ...proof.slice(1, 3)])).toEqual(
      [
        'The room is 17.0 °C.',
        'Discus basin is held down to a room of 16.4 °C (as learned over 20 days).',
      ],
    );
  });

  it('names none of them any more when it is over', () => {
    const over = alertText(closed({ ...cooling, evidence: proof }), write, now);
    expect(renderText(over)).not.toMatch(/Discus|reeds|moss|40%/);
  });

  it('keeps whose number it is, and its band, over a restart', () => {
    const alert = { ...cooling, evidence: proof };
    const trouble = { alert, raisedFrom: now, quietFrom: null, unseenFrom: null, seen: now };
    const memory = {
      version: 1,
      troubles: { 'room-cooling:room/den': { ...trouble, refreshed: now, relapses: 0 } },
    };
    const read = readMemory(JSON.parse(JSON.stringify(memory)));
    expect(read.troubles['room-cooling:room/den']?.alert.evidence).toEqual(proof);
  });
});

describe('a number of something else that no sentence has', () => {
  it('gets a line with its name', () => {
    const odd = {
      ...evidence('lamp-heat', 0.25, 'fraction'),
      subject: SAMPLES['tank-too-warm'].subject,
    };
    expect(linesOf(SAMPLES['power-cut'], [odd as Evidence])).toEqual([
      'Discus basin: Lamp heat: 25%.',
    ]);
  });
});
