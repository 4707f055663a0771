import { describe, expect, it } from 'vitest';
import { createDemoClock } from '../../src/app/demo/clock.ts';
import { createNotices } from '../../src/app/demo/notices.ts';
import { readDemoOptions } from '../../src/app/demo/options.ts';
import { pastTroubles } from '../../src/app/demo/past-troubles.ts';
import { createProgress } from '../../src/app/demo/progress.ts';
import { createChance, type Fault, tellingHeaters } from '../../src/simulator/index.ts';
import { DAY, HOUR, type Instant, instant, later, type Millis } from '../../src/units/index.ts';
import { fishRoom } from '../simulator/houses.ts';
import { faultOf } from '../storage/scratch.ts';

const NOW = instant(Date.UTC(2026, 0, 20, 3, 5));

describe('the options of the demo', () => {
  it('have the defaults that its help tells', () => {
    expect(readDemoOptions([])).toEqual({
      weeks: 8,
      seed: 7,
      faults: [],
      faultHours: 5,
      port: 8624,
      keep: undefined,
    });
  });

  it('are taken as written', () => {
    const args = '--weeks 0.5 --seed 4294967295 --fault-hours 2.5 --port 0 --keep here';
    const faults = ['--fault', 'stuck-on', '--fault=cold-night'];
    expect(readDemoOptions([...args.split(' '), ...faults])).toEqual({
      weeks: 0.5,
      seed: 4_294_967_295,
      faults: ['stuck-on', 'cold-night'],
      faultHours: 2.5,
      port: 0,
      keep: 'here',
    });
  });

  it.each([
    ['weeks', ['', ' ', 'x', '-1', '61', 'NaN', 'Infinity']],
    ['seed', ['', '1.5', '-1', '4294967296', '1e3', 'seven']],
    ['fault-hours', ['', '-0.5', '201', 'five']],
    ['port', ['', '65536', '80.5', '-1', 'http']],
  ])('are refused when --%s is none of its numbers', (name, texts) => {
    for (const text of texts) {
      const error = faultOf(() => readDemoOptions([`--${name}=${text}`]));
      expect(error.code).toBe('AMP_DEMO_OPTION');
      expect(error.message).toBe(`--${name} cannot be '${text}'`);
      expect(error.remedy).toMatch(/number from 0 to \d+$/);
    }
  });
});

describe('the past troubles of a demo', () => {
  const { spec } = fishRoom();
  const history = (weeks: number) => ({ from: later(NOW, -weeks * 7 * DAY), to: NOW });
  const troubles = (weeks: number, seed = 7, asked: readonly Fault[] = []) =>
    pastTroubles(spec, history(weeks), createChance(seed), asked);

  it('are a stuck heater and a silent plug of two heaters whose failing shows', () => {
    for (let seed = 0; seed < 50; seed += 1) {
      const [stuck, silent, ...more] = troubles(8, seed);
      expect(more).toEqual([]);
      expect(stuck?.kind).toBe('stuck-on');
      expect(silent?.kind).toBe('plug-offline');
      const heater = stuck !== undefined && 'device' in stuck ? stuck.device : '';
      const plug = silent !== undefined && 'plug' in silent ? silent.plug : '';
      expect(tellingHeaters(spec)).toContain(heater);
      expect(plug).not.toBe('');
      expect(spec.devices.find(({ id }) => id === heater)?.plug).not.toBe(plug);
    }
  });

  it('lie within the history, one after the other, and are over well before its end', () => {
    for (const weeks of [1, 8, 60]) {
      for (let seed = 0; seed < 50; seed += 1) {
        const [stuck, silent] = troubles(weeks, seed) as [Fault, Fault];
        for (const { from, until } of [stuck, silent]) {
          expect(until).toBeGreaterThan(from + 2 * HOUR);
          expect(from).toBeGreaterThan(history(weeks).from + 12 * HOUR);
          expect(until).toBeLessThan(NOW - 5 * HOUR);
        }
        expect(silent.from).toBeGreaterThan(stuck.from);
      }
    }
  });

  it('are the seed’s own, and leave alone what was asked to fail', () => {
    expect(troubles(8, 3)).toEqual(troubles(8, 3));
    expect(new Set(Array.from({ length: 20 }, (_, n) => JSON.stringify(troubles(8, n)))).size).toBe(
      20,
    );
    for (let seed = 0; seed < 50; seed += 1) {
      const asked: Fault[] = [
        { kind: 'stuck-on', device: 'guppies-heater', from: NOW },
        { kind: 'plug-offline', plug: 'wall-07', from: NOW },
      ];
      const text = JSON.stringify(troubles(8, seed, asked));
      for (const taken of ['guppies-heater', 'wall-09', 'corydoras-heater', 'wall-07']) {
        expect(text).not.toContain(taken);
      }
    }
  });

  it('are fewer or none where the history is short or nothing can fail', () => {
    for (let seed = 0; seed < 20; seed += 1) {
      expect(troubles(0.3, seed).map(({ kind }) => kind)).toEqual(['stuck-on']);
    }
    expect(troubles(0)).toEqual([]);
    expect(troubles(0.2)).toEqual([]);
    const bare = { ...spec, devices: [] };
    expect(pastTroubles(bare, history(8), createChance(1), [])).toEqual([]);
  });
});

describe('what the demo says', () => {
  const { config } = fishRoom();
  const notices = createNotices(config, NOW);
  const stuck = (from: Instant, until?: Instant): Fault => ({
    kind: 'stuck-on',
    device: 'guppies-heater',
    from,
    until,
  });

  it('tells times by the site’s wall clock, not by the machine’s', () => {
    // Winnipeg in winter is six hours behind UTC.
    expect(notices.fault(stuck(later(NOW, -5 * HOUR)))).toBe(
      '  fault since 4:05 p.m.: guppies-heater stuck on',
    );
    expect(notices.fault(stuck(later(NOW, -50 * HOUR)))).toContain('Jan 17, 7:05 p.m.');
    expect(notices.past(stuck(later(NOW, -50 * HOUR), later(NOW, -46 * HOUR)))).toBe(
      '  in the history, put right since: guppies-heater stuck on, Jan 17, 7:05 p.m. to 11:05 p.m.',
    );
  });

  it('names what hangs on a plug', () => {
    const from = later(NOW, -HOUR);
    expect(notices.fault({ kind: 'plug-offline', plug: 'wall-09', from })).toMatch(
      /: plug wall-09 \(guppies-heater\) off the air$/,
    );
    const until = later(from, HOUR);
    expect(notices.fault({ kind: 'cold-night', from, until })).toMatch(/room heater has tripped$/);
  });

  it('names the probe, tank or rooms that are struck', () => {
    const from = later(NOW, -HOUR);
    const said = (fault: Fault): string => notices.fault(fault).replace(/^.*?[ap]\.m\.: /, '');
    expect(said({ kind: 'silent-probe', probe: 'guppies-water', from })).toBe(
      'probe guppies-water says nothing',
    );
    expect(said({ kind: 'lid-off', tank: 'guppies', times: 1.5, from })).toBe(
      'guppies has lost its lid',
    );
    expect(said({ kind: 'open-window', room: 'study', from })).toBe('study has a window open');
    expect(said({ kind: 'power-cut', from })).toBe('the power is out');
    expect(said({ kind: 'power-cut', rooms: ['study', 'fish-room'], from })).toBe(
      'the power is out in study, fish-room',
    );
  });
});

describe('the progress of a demo', () => {
  const span = { from: NOW, to: later(NOW, 100_000) };

  function shown(isTTY: boolean, moments: readonly number[], over = span): string[] {
    const lines: string[] = [];
    let time = 0;
    const progress = createProgress(
      { isTTY, write: (text) => lines.push(text) },
      over,
      () => (time += 500),
    );
    for (const moment of moments) progress.at(later(NOW, moment), moment);
    progress.end();
    return lines;
  }

  it('is a line a tenth where there is no terminal', () => {
    const lines = shown(
      false,
      Array.from({ length: 101 }, (_, n) => n * 1000),
    );
    expect(lines).toHaveLength(11);
    expect(lines[5]).toMatch(
      /^ {2}reading in past weeks {2}#{15}\.{15} {2}50 % {2}[\d,]+ messages\/s\n$/,
    );
    expect(lines.join('')).not.toContain('\u001b');
  });

  it('is one line of a terminal, written over itself and erased at the end', () => {
    const lines = shown(true, [0, 40_000, 40_010, 100_000]);
    expect(lines).toHaveLength(4);
    for (const line of lines) expect(line.startsWith('\r\u001b[2K')).toBe(true);
    expect(lines.join('')).not.toContain('\n');
    expect(lines.at(-1)).toBe('\r\u001b[2K');
    expect(shown(true, [])).toEqual([]);
  });

  it('is through at once with a history of nothing, and never beyond its end', () => {
    expect(shown(false, [0], { from: NOW, to: NOW })[0]).toContain(' 100 %');
    expect(shown(false, [250_000])[0]).toContain(' 100 %');
    expect(shown(false, [-5_000])[0]).toContain(' 0 %');
  });
});

describe('the clock of the demo', () => {
  it('stands at the moment of the message that is being taken in, until it goes live', () => {
    const machine = { now: () => NOW, monotonic: () => 17 as Millis };
    const at = (minutes: number): Instant => later(NOW, (minutes - 600) * 60_000);
    const clock = createDemoClock(at(0), machine);
    expect(clock.now()).toBe(at(0));
    clock.sending(at(1), 2);
    clock.sending(at(2), 0);
    clock.sending(at(3), 1);
    expect(clock.now()).toBe(at(1));
    clock.taken();
    expect(clock.now()).toBe(at(1));
    clock.taken();
    expect(clock.now()).toBe(at(3));
    clock.taken();
    expect(clock.now()).toBe(at(3));
    clock.taken();
    clock.arrived(at(5));
    expect(clock.now()).toBe(at(5));
    expect(clock.monotonic()).toBe(17);
    clock.goLive();
    expect(clock.now()).toBe(NOW);
  });

  it('lets the watches look every ten minutes of what has arrived, however far ahead the sender is', () => {
    const machine = { now: () => NOW, monotonic: () => 0 as Millis };
    const at = (minutes: number): Instant => later(NOW, (minutes - 600) * 60_000);
    const clock = createDemoClock(at(0), machine);
    for (let minute = 0; minute < 60; minute++) clock.sending(at(minute), 3);
    const looks: Instant[] = [];
    for (let message = 0; message < 180; message++) {
      const now = clock.now();
      if (clock.taken()) looks.push(now);
    }
    expect(looks).toEqual([0, 10, 20, 30, 40, 50].map(at));
    expect(clock.taken()).toBe(false);
  });
});
