import type { Alert } from '../../src/alerts/index.ts';
import type { Config } from '../../src/config/index.ts';
import {
  createChance,
  createSimulator,
  type Fault,
  type Habits,
  type Simulator,
} from '../../src/simulator/index.ts';
import {
  DAY,
  HOUR,
  type Instant,
  type Logger,
  later,
  MINUTE,
  type Millis,
} from '../../src/units/index.ts';
import { calmDays, drawRoomFault, drawTankFault } from './draw.ts';
import { createHeatCheck, type HeatChecked } from './heat-check.ts';
import { subject } from './house.ts';
import type { Verdict } from './judge.ts';
import { createLedger, type FalseAlert } from './ledger.ts';
import { placeOf } from './place.ts';
import { startQuietDaemon } from './quiet-daemon.ts';
import type { Sick } from './rules.ts';
import { createStills } from './stills.ts';
import { SYMPTOMS } from './symptoms.ts';
import {
  beginTrial,
  type Case,
  closeTrial,
  isOver,
  markFound,
  type Trial,
  watchRule,
} from './trial.ts';
import { createTruth } from './truth.ts';
import { weatherOf } from './weather.ts';

export interface LaboratoryOptions {
  readonly seed: number;
  readonly days: number;
  /** The store's file; must not exist yet. */
  readonly file: string;
  /** Only these rooms of the house. */
  readonly rooms?: readonly string[];
  /** Only these faults. */
  readonly kinds?: readonly Fault['kind'][];
  /** Days before anything strikes. */
  readonly calmFirst?: number;
  /** Days from what is over to what strikes next, at least and at most. */
  readonly calm?: readonly [least: number, most: number];
  readonly habits?: Partial<Habits>;
  /** For its own tests: faults that it does not know of, and watches that it does not hear. */
  readonly secret?: readonly Fault[];
  readonly deafTo?: readonly Alert['watch'][];
  readonly logger?: Logger;
  /** Called every simulated minute. */
  readonly onMinute?: (moment: {
    simulator: Simulator;
    trials: readonly Trial[];
    config: Config;
  }) => void;
}

/** What one seed has shown. */
export interface Outcome {
  readonly seed: number;
  readonly tankDays: number;
  readonly cases: readonly Case[];
  readonly falseAlerts: readonly FalseAlert[];
  /** Alerts by watch that were true without a fault, and that followed from one. */
  readonly trueAlerts: Readonly<Record<string, number>>;
  readonly consequences: Readonly<Record<string, number>>;
  readonly heat: HeatChecked;
  readonly messages: number;
}

/** Long enough ago that no clock of today takes part: midnight of 1 September in the house. */
export const START = Date.UTC(2024, 8, 1, 5) as Instant;
/** How often plugs and probes speak when nothing changes. */
const INTERVAL = (5 * MINUTE) as Millis;
/** Every so often everything looks while nothing presses: a round costs as much as all the rest. */
const CALM_LOOKS = 5 * MINUTE;
/** Messages arrive within this of when they were sent. */
const MOMENT = (MINUTE / 2) as Millis;
const RATTLING_MOMENT = (MINUTE / 6) as Millis;
/** A keeper is there within these hours of being told. */
const KEEPER = { soonest: 1, latest: 3 } as const;
const ROOM_CALM = [12, 40] as const;
const RESTARTS = [3, 25] as const;
const OUTAGES = { every: [4, 20], minutes: [1, 45] } as const;
/** Every other water change is told. */
const TOLD_TENDINGS = 0.5;
/** … and so is every other new heater, pump or lamp. */
const TOLD_RENEWALS = 0.5;

/** Whatever happens in a house that is well. */
const HABITS: Habits = {
  waterChanges: true,
  feedingPauses: true,
  airings: true,
  voltSpread: 0.06,
  probeSpikes: true,
  lostReports: true,
};

const silentLogger: Logger = { debug() {}, info() {}, warn() {}, error() {} };

/** Plays the life of the house, lets things fail in it, and holds what is told against the truth. */
export function runLaboratory(options: LaboratoryOptions): Outcome {
  const { seed, days, kinds, calm = [1.5, 6], calmFirst = 18 } = options;
  const chance = createChance(seed);
  const { house, spec } = subject(chance.fork(), options.rooms);
  const { config } = house;
  const keeper = chance.fork();
  const mishaps = chance.fork();
  const tended: string[] = [];
  const simulator = createSimulator(spec, Object.values(config.feeds), {
    seed: Math.floor(chance.next() * 2 ** 32),
    start: START,
    weather: weatherOf(chance.fork()),
    tended: (tank) => tended.push(tank),
    habits: { ...HABITS, ...options.habits },
    faults: options.secret ?? [],
  });
  const truth = createTruth(spec, simulator);
  const stills = createStills(house);
  const daemon = startQuietDaemon(house, {
    file: options.file,
    now: START,
    logger: options.logger ?? silentLogger,
  });
  const heat = createHeatCheck(START);
  const liters = new Map(spec.tanks.map(({ id, waterLiters }) => [id, waterLiters]));

  const trials: Trial[] = [];
  const cases: Case[] = [];
  const ledger = createLedger({ house, simulator, truth, stills, daemon });
  const due = new Map<string, Instant>();
  for (const id of Object.keys(config.tanks)) {
    due.set(`tank/${id}`, later(START, calmFirst * DAY + calmDays(mishaps, 0, calm[1])));
  }
  for (const id of Object.keys(config.rooms)) {
    due.set(`room/${id}`, later(START, calmFirst * DAY + calmDays(mishaps, 0, ROOM_CALM[1])));
  }
  let restartAt = later(START, calmDays(mishaps, ...RESTARTS));
  let outageAt = later(START, calmDays(mishaps, ...OUTAGES.every));
  let backAt: Instant | undefined;
  let messages = 0;
  let looked = START;

  function minute(): void {
    const now = simulator.house.at;
    truth.record();
    for (const tank of tended.splice(0)) {
      if (keeper.next() < TOLD_TENDINGS) daemon.tend(tank, now);
    }
    breakDown(now);
    strike(now);
    for (const trial of trials) {
      if (trial.mended !== undefined) continue;
      watchRule(trial, trial.symptoms.shows(sickOf(trial)), now);
      if (isMuted(trial, now)) trial.muted += MINUTE;
    }
    if (now - looked >= (isPressing() ? MINUTE : CALM_LOOKS)) {
      looked = now;
      for (const alert of daemon.look(now)) {
        if (options.deafTo?.includes(alert.watch)) continue;
        heed(alert, ledger.judge(alert, trials, now), now);
      }
    }
    ledger.settle(now);
    for (const trial of [...trials]) attend(trial, now);
    heat.minute(now, { daemon, truth, trials });
    options.onMinute?.({ simulator, trials, config });
  }

  /** Something shows that is to be told within the hour: then it is looked as often as it can be. */
  const isPressing = (): boolean =>
    trials.some(
      ({ found, mended, holdsSince, hold }) =>
        found === undefined && mended === undefined && holdsSince !== undefined && hold <= HOUR,
    );

  /** Nothing is heard, or a keeper has said that he works on the tank. */
  const isMuted = ({ place }: Trial, now: Instant): boolean =>
    backAt !== undefined ||
    daemon.lanes.watches.tendings(now).some(({ tank }) => place.touched.has(`tank/${tank}`));

  const sickOf = (trial: Trial): Sick => ({
    fault: trial.fault,
    truth,
    house,
    liters,
    interval: INTERVAL,
    setBefore: trial.setBefore,
    wattsBefore: trial.wattsBefore,
    longestStill: stills.longest,
    expected: daemon.lanes.heat.expected,
  });

  /** The daemon itself, and the way to it, are not always there. */
  function breakDown(now: Instant): void {
    if (now >= restartAt || (backAt === undefined && now >= outageAt)) {
      for (const trial of trials) trial.breakdowns += 1;
    }
    if (now >= restartAt) {
      daemon.restart(mishaps.next() < 0.5 ? 'stopped' : 'killed', now);
      backAt = undefined;
      restartAt = later(now, calmDays(mishaps, ...RESTARTS));
    }
    if (backAt === undefined && now >= outageAt) {
      daemon.link(false, now);
      const [least, most] = OUTAGES.minutes;
      backAt = later(now, (least + (most - least) * mishaps.next()) * MINUTE);
      outageAt = later(now, calmDays(mishaps, ...OUTAGES.every));
    } else if (backAt !== undefined && now >= backAt) {
      daemon.link(true, now);
      backAt = undefined;
    }
  }

  const isBusy = (place: string): boolean =>
    trials.some(({ place: { touched } }) => touched.has(place));

  function strike(now: Instant): void {
    for (const [place, at] of due) {
      if (now < at) continue;
      const [what, id = ''] = place.split('/');
      if (what === 'room' ? isRoomBusy(id) : isBusy(place) || isRoomDue(id, now)) continue;
      const draw = what === 'room' ? drawRoomFault : drawTankFault;
      const fault = draw(id, config, now, mishaps, kinds);
      rest(place, now);
      if (fault !== undefined) begin(fault, now);
    }
  }

  /** A place that has been struck, or is well again, is left in peace for some days. */
  function rest(place: string, now: Instant): void {
    const [least, most] = place.startsWith('room/') ? ROOM_CALM : calm;
    due.set(place, later(now, calmDays(mishaps, least, most)));
  }

  const isRoomBusy = (room: string): boolean =>
    isBusy(`room/${room}`) ||
    Object.keys(config.tanks).some((id) => config.tanks[id]?.room === room && isBusy(`tank/${id}`));

  /** What strikes a whole room waits until all its tanks are well, and they wait for it. */
  const isRoomDue = (tank: string, now: Instant): boolean =>
    now >= (due.get(`room/${config.tanks[tank]?.room}`) ?? Number.POSITIVE_INFINITY);

  function begin(fault: Fault, now: Instant): void {
    const symptoms = SYMPTOMS[fault.kind];
    const device = 'device' in fault ? fault.device : undefined;
    const [least, most] = symptoms.lasts;
    simulator.strike(fault);
    const trial = beginTrial({
      fault,
      place: placeOf(fault, config),
      symptoms,
      endsBy: fault.until ?? later(now, Math.round(least + (most - least) * mishaps.next())),
      setBefore: device === undefined ? undefined : truth.setOf(device),
      wattsBefore: device === undefined ? undefined : truth.usualWatts(device),
    });
    trials.push(trial);
  }

  /** A keeper who is told comes, and one whose animals are cold or hot comes the day after at last. */
  function heed(alert: Alert, verdict: Verdict, now: Instant): void {
    if (verdict.is !== 'told' && verdict.is !== 'consequence') return;
    const { trial } = verdict;
    const isTold = verdict.is === 'told';
    if (isTold) markFound(trial, { at: now, watch: alert.watch, ...marginOf(trial) });
    const harms = alert.watch === 'tank-too-cold' || alert.watch === 'tank-too-warm';
    if (!isTold && !harms) return;
    const hours = KEEPER.soonest + (KEEPER.latest - KEEPER.soonest) * keeper.next();
    const comes = later(now, Math.round((isTold ? hours : hours + 24) * HOUR));
    if (comes < (trial.keeperComes ?? Number.POSITIVE_INFINITY)) trial.keeperComes = comes;
  }

  function marginOf({ fault, place, setBefore }: Trial): { marginUsed?: number } {
    if (fault.kind !== 'stuck-on' || place.tank === undefined || setBefore === undefined) return {};
    const top = config.tanks[place.tank]?.keep_c.max ?? Number.NaN;
    return { marginUsed: ((truth.tank(place.tank) ?? 0) - setBefore) / (top - setBefore) };
  }

  /** The keeper comes, the fault ends by itself, and what may follow from it has passed. */
  function attend(trial: Trial, now: Instant): void {
    if (trial.mended === undefined) {
      if (now < Math.min(trial.endsBy, trial.keeperComes ?? Number.POSITIVE_INFINITY)) return;
      simulator.mend(trial.fault);
      trial.mended = now;
      if ('device' in trial.fault && keeper.next() < TOLD_RENEWALS) {
        daemon.renew(trial.fault.device, now);
      }
      cases.push(closeTrial(trial));
    } else if (isOver(trial, now)) {
      trials.splice(trials.indexOf(trial), 1);
      if (trial.place.tank !== undefined) rest(`tank/${trial.place.tank}`, now);
    }
  }

  const isRattling = (): boolean =>
    trials.some(({ fault, mended }) => fault.kind === 'chattering-heater' && mended === undefined);
  const end = later(START, days * DAY);
  while (simulator.house.at < end) {
    const moment = isRattling() ? RATTLING_MOMENT : MOMENT;
    for (let passed = 0; passed < MINUTE; passed += moment) {
      for (const message of simulator.advance(later(simulator.house.at, moment), INTERVAL)) {
        messages += 1;
        stills.hear(message, simulator.house.at);
        daemon.receive(message, simulator.house.at);
      }
    }
    minute();
  }
  daemon.close();
  return {
    seed,
    tankDays: days * spec.tanks.length,
    cases,
    falseAlerts: ledger.falseAlerts,
    trueAlerts: ledger.trueAlerts,
    consequences: ledger.consequences,
    heat: heat.result(),
    messages,
  };
}
