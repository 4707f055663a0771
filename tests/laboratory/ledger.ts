import type { Alert } from '../../src/alerts/index.ts';
import type { House } from '../../src/app/house.ts';
import type { Simulator } from '../../src/simulator/index.ts';
import { HOUR, type Instant } from '../../src/units/index.ts';
import { isTrueAlert } from './explained.ts';
import { judgeAlert, type Verdict } from './judge.ts';
import { subjectOf } from './place.ts';
import type { QuietDaemon } from './quiet-daemon.ts';
import type { Stills } from './stills.ts';
import type { Trial } from './trial.ts';
import type { Truth } from './truth.ts';

/** An alert that nothing explains. */
export interface FalseAlert {
  readonly at: Instant;
  readonly watch: Alert['watch'];
  readonly subject: string;
  readonly severity: Alert['severity'];
  readonly reason: string;
  readonly evidence: readonly string[];
  /** What truly was, to find out why. */
  readonly truth: Readonly<Record<string, unknown>>;
}

/** What the alerts of one seed have been. */
export interface Ledger {
  readonly falseAlerts: readonly FalseAlert[];
  /** By watch: true without a fault, and followed from one. */
  readonly trueAlerts: Readonly<Record<string, number>>;
  readonly consequences: Readonly<Record<string, number>>;
  judge(alert: Alert, trials: readonly Trial[], now: Instant): Verdict;
  /** Once a minute: whether a night was as dear as was said shows when it is over. */
  settle(now: Instant): void;
}

/** A night that cost so many usual ones was a dear one: what is forecast is never quite so. */
const DEAR = 1.35;

export function createLedger(parts: {
  house: House;
  simulator: Simulator;
  truth: Truth;
  stills: Stills;
  daemon: QuietDaemon;
}): Ledger {
  const { house, simulator, truth, stills, daemon } = parts;
  const { devices, tanks } = house.config;
  const falseAlerts: FalseAlert[] = [];
  const trueAlerts: Record<string, number> = {};
  const consequences: Record<string, number> = {};
  const dearNights: { readonly alert: FalseAlert; readonly tank: string }[] = [];

  function isDear(tank: string): { dear: boolean; cost?: number; usual?: number } {
    const costs = daemon.nights.nights.get(tank)?.nights.map(({ cost }) => cost) ?? [];
    const usual = [...costs.slice(0, -1)].sort((a, b) => a - b)[(costs.length - 1) >> 1];
    const cost = costs.at(-1);
    if (usual === undefined || cost === undefined) return { dear: false };
    return { dear: cost >= DEAR * usual, cost, usual };
  }

  function falseAlert(alert: Alert, trials: readonly Trial[], now: Instant): FalseAlert {
    const { subject, watch, severity, reason, evidence } = alert;
    const tank = subject.kind === 'tank' ? subject.id : devices[subject.id]?.tank;
    const ofDevice = subject.kind === 'device' ? subject.id : undefined;
    return {
      at: now,
      watch,
      subject: subjectOf(alert),
      severity,
      reason,
      evidence: evidence.map(({ what, value, unit }) => `${what} ${round(value)} ${unit}`),
      truth: {
        outdoors: round(simulator.house.outdoors),
        mains: round(simulator.house.mains),
        tank: tank && round(truth.tank(tank)),
        room: tank && round(truth.room(tanks[tank]?.room ?? '')),
        set: ofDevice && round(truth.setOf(ofDevice)),
        watts: ofDevice && round(truth.watts(ofDevice)),
        faults: trials
          .filter(({ place }) => place.touched.has(subjectOf(alert)))
          .map(({ fault, mended }) => ({ ...fault, mended })),
      },
    };
  }

  return {
    falseAlerts,
    trueAlerts,
    consequences,
    judge(alert, trials, now) {
      const { watch, subject } = alert;
      const verdict = judgeAlert(alert, trials, () =>
        isTrueAlert(alert, { truth, house, heard: stills.heard }),
      );
      if (verdict.is === 'consequence') count(consequences, watch);
      else if (verdict.is === 'true') count(trueAlerts, watch);
      else if (verdict.is === 'false') {
        const unexplained = falseAlert(alert, trials, now);
        if (watch === 'expensive-night') dearNights.push({ alert: unexplained, tank: subject.id });
        else falseAlerts.push(unexplained);
      }
      return verdict;
    },
    settle(now) {
      for (const night of [...dearNights]) {
        if (now - night.alert.at < 24 * HOUR) continue;
        dearNights.splice(dearNights.indexOf(night), 1);
        const { dear, cost, usual } = isDear(night.tank);
        if (dear) count(trueAlerts, 'expensive-night');
        else falseAlerts.push({ ...night.alert, truth: { ...night.alert.truth, cost, usual } });
      }
    },
  };
}

function count(counts: Record<string, number>, watch: string): void {
  counts[watch] = (counts[watch] ?? 0) + 1;
}

const round = (value: number | undefined): number | undefined =>
  value === undefined ? undefined : Math.round(value * 1000) / 1000;
