import { type Alert, alertId, createWriter, type Names } from '../../src/alerts/index.ts';
import { DAY, HOUR, later, MINUTE } from '../../src/units/index.ts';
import type { Evidence, Subject, WatchName } from '../../src/watches/index.ts';
import { evidence, NIGHT } from './looks.ts';

const NAMES: Record<string, string> = {
  'discus-heater': 'Left heater',
  'discus-filter': 'Big filter',
  'discus-air': 'Air pump',
  'discus-lamp': 'Canopy lamp',
  'discus-mat': 'Back mat',
  discus: 'Discus basin',
  'shelf-left': 'Shelf plug',
  'discus-probe': 'Basin probe',
  den: 'The den',
};
const tank: Subject = { kind: 'tank', id: 'discus' };
export const names: Names = {
  name: ({ id }) => NAMES[id],
  place: ({ kind }) =>
    kind === 'room' ? undefined : kind === 'tank' ? { kind: 'room', id: 'den' } : tank,
};
/** The plug has the left heater alone on it, the probe is the basin's only one. */
const blindWithout: Names['blindWithout'] = (silent) =>
  silent.flatMap(({ kind }) => [
    ...(kind === 'plug' ? [] : [{ watch: 'tank-too-warm', subject: tank } as const]),
    ...(kind === 'plug' ? [] : [{ watch: 'tank-too-cold', subject: tank } as const]),
    { watch: 'heater-stuck-on', subject: { kind: 'device', id: 'discus-heater' } },
  ]);
export const write = createWriter({
  names: { ...names, blindWithout },
  locale: 'en-CA',
  zone: 'America/Winnipeg',
});
export const now = later(NIGHT, 12 * MINUTE);

const alertOf = (
  watch: WatchName,
  subject: Subject,
  proof: readonly Evidence[],
  changes: Partial<Alert> = {},
): Alert => ({
  id: alertId(watch, subject, NIGHT),
  watch,
  subject,
  state: 'open',
  severity: 'critical',
  confidence: 'certain',
  reason: 'for-a-reason',
  evidence: proof,
  since: NIGHT,
  opened: later(NIGHT, 10 * MINUTE),
  acknowledged: undefined,
  closed: undefined,
  ...changes,
});

const heater: Subject = { kind: 'device', id: 'discus-heater' };
const filter: Subject = { kind: 'device', id: 'discus-filter' };
export const SAMPLES: Record<WatchName, Alert> = {
  'heater-stuck-on': alertOf('heater-stuck-on', heater, [
    evidence('tank-temperature', 27.4, 'C'),
    evidence('switch-off', 25.6, 'C'),
    evidence('power', 148, 'W'),
    evidence('kept-max', 28, 'C'),
    evidence('time-to-kept-max', 3.4 * HOUR, 'ms'),
  ]),
  'heater-not-heating': alertOf('heater-not-heating', heater, [
    evidence('tank-temperature', 23.9, 'C'),
    evidence('switch-on', 25.1, 'C'),
    evidence('power', 0.3, 'W'),
    evidence('on-power', 151, 'W'),
    evidence('kept-min', 23, 'C'),
    evidence('time-to-kept-min', 90 * MINUTE, 'ms'),
  ]),
  'heater-overmatched': alertOf('heater-overmatched', heater, [
    evidence('tank-temperature', 24.1, 'C'),
    evidence('duty', 0.99, 'fraction'),
    evidence('duty-span', 3 * HOUR, 'ms'),
    evidence('two-hour-change', -0.4, 'K'),
    evidence('room-temperature', 12.2, 'C'),
    evidence('power', 148, 'W'),
    evidence('short-by', 37, 'W'),
    evidence('kept-min', 23, 'C'),
    evidence('time-to-kept-min', 7.5 * HOUR, 'ms'),
  ]),
  'heater-weak': alertOf('heater-weak', heater, [
    evidence('on-power', 119, 'W'),
    evidence('learned-power', 151, 'W', NIGHT),
    evidence('weaker-by', 0.21, 'fraction'),
  ]),
  'heater-drifting': alertOf('heater-drifting', heater, [
    evidence('moved', -0.6, 'K'),
    evidence('switch-off', 24.8, 'C'),
    evidence('set-point', 25.5, 'C'),
  ]),
  'heater-chattering': alertOf('heater-chattering', heater, [
    evidence('switches-every', 40_000, 'ms'),
    evidence('power', 148, 'W'),
  ]),
  'heater-unheard': alertOf('heater-unheard', heater, [
    evidence('tank-temperature', 24.4, 'C'),
    evidence('heat-worth', 1.2, 'K'),
    evidence('two-hour-change', -0.3, 'K'),
    evidence('on-power', 148, 'W'),
    evidence('room-temperature', 19.5, 'C'),
  ]),
  'heater-against-chiller': alertOf('heater-against-chiller', heater, [
    evidence('heated-and-cooled', 0.23, 'fraction'),
    evidence('switch-off', 25.4, 'C'),
    evidence('chiller-switch-on', 25.5, 'C'),
    evidence('tank-temperature', 25.4, 'C'),
  ]),
  'duty-unexplained': alertOf('duty-unexplained', tank, [
    evidence('duty', 0.61, 'fraction'),
    evidence('duty-span', 6 * HOUR, 'ms'),
    evidence('expected-duty', 0.42, 'fraction'),
    evidence('expected-from', 0.35, 'fraction'),
    evidence('expected-to', 0.49, 'fraction'),
  ]),
  'probe-frozen': alertOf('probe-frozen', { kind: 'probe', id: 'discus-probe' }, [
    evidence('last-temperature', 25.3, 'C'),
    evidence('constant-for', 100 * MINUTE, 'ms'),
    evidence('longest-constant', 20 * MINUTE, 'ms'),
    evidence('heat-worth', 0.8, 'K'),
  ]),
  'tank-too-warm': alertOf('tank-too-warm', tank, [
    evidence('tank-temperature', 29.4, 'C'),
    evidence('kept-max', 28, 'C'),
    evidence('half-hour-change', 0.4, 'K'),
  ]),
  'tank-too-cold': alertOf('tank-too-cold', tank, [
    evidence('tank-temperature', 21.2, 'C'),
    evidence('kept-min', 23, 'C'),
    evidence('half-hour-change', -0.6, 'K'),
  ]),
  'plug-silent': alertOf('plug-silent', { kind: 'plug', id: 'shelf-left' }, [
    evidence('silent-for', 25 * MINUTE, 'ms'),
  ]),
  'probe-silent': alertOf('probe-silent', { kind: 'probe', id: 'discus-probe' }, [
    evidence('silent-for', 25 * MINUTE, 'ms'),
  ]),
  'pump-stopped': alertOf('pump-stopped', filter, [
    evidence('power', 0.4, 'W'),
    evidence('usual-power', 11.8, 'W'),
    evidence('stopped-for', 25 * MINUTE, 'ms'),
  ]),
  'pump-laboring': alertOf('pump-laboring', filter, [
    evidence('power', 15.2, 'W'),
    evidence('day-power', 14.6, 'W'),
    evidence('usual-power', 11.8, 'W'),
  ]),
  'air-stopped': alertOf('air-stopped', { kind: 'device', id: 'discus-air' }, [
    evidence('power', 0.2, 'W'),
    evidence('usual-power', 4.1, 'W'),
    evidence('changed-for', 40 * MINUTE, 'ms'),
  ]),
  'light-off-plan': alertOf('light-off-plan', { kind: 'device', id: 'discus-lamp' }, [
    evidence('power', 42, 'W'),
    evidence('lit-for', 130 * MINUTE, 'ms'),
  ]),
  'mat-overheating': alertOf('mat-overheating', { kind: 'device', id: 'discus-mat' }, [
    evidence('tank-temperature', 21.3, 'C'),
    evidence('set-point', 29, 'C'),
    evidence('power', 24, 'W'),
    evidence('drawing-for', 70 * MINUTE, 'ms'),
  ]),
  'expensive-night': alertOf('expensive-night', tank, [
    evidence('cost-of-usual', 1.8, 'fraction'),
    evidence('forecast-coverage', 0.96, 'fraction'),
    evidence('by-weather', 0.7, 'fraction'),
    evidence('learned-over', 12 * DAY, 'ms'),
    evidence('usually-off', 0.11, 'fraction'),
  ]),
  'cost-ahead': alertOf('cost-ahead', { kind: 'room', id: 'den' }, [
    evidence('projected-of-budget', 1.2, 'fraction'),
    evidence('spent-of-budget', 0.6, 'fraction'),
  ]),
  'power-cut': alertOf('power-cut', { kind: 'room', id: 'den' }, [
    evidence('plugs-gone', 0.75, 'fraction'),
    evidence('gone-for', 6 * MINUTE, 'ms'),
  ]),
  'room-cooling': alertOf('room-cooling', { kind: 'room', id: 'den' }, [
    evidence('room-temperature', 14.2, 'C'),
    evidence('fall', 2.3, 'K'),
  ]),
};

export const WATCHES = Object.keys(SAMPLES) as WatchName[];
export const closed = (alert: Alert): Alert => ({
  ...alert,
  state: 'closed',
  closed: later(NIGHT, 130 * MINUTE),
});
