import type { AlertWatch } from '../../src/alerts/index.ts';
import type { Fault } from '../../src/simulator/index.ts';
import { DAY, HOUR } from '../../src/units/index.ts';
import {
  chattering,
  cooling,
  dead,
  displaced,
  drifting,
  dry,
  fighting,
  frozen,
  laboring,
  lidOff,
  lightOffPlan,
  powerCut,
  type Sick,
  stoppedPump,
  stuckOn,
  threeIntervals,
  weak,
} from './rules.ts';

/** What a fault looks like, and who should tell it. */
export interface Symptoms {
  readonly tells: readonly AlertWatch[];
  /** Watches that may rightly speak as well, of anything in the same tank or room. */
  readonly follows: readonly AlertWatch[];
  /** How long after its mending what follows may still come, ms. */
  readonly aftermath: number;
  /** It ends by itself after so long when nobody has told of it, ms. */
  readonly lasts: readonly [least: number, most: number];
  /** How the hold came about, for the table. */
  readonly holdIs: string;
  /**
   * The hold of the rule that truly holds now, ms; undefined while none does. A fault shows from the
   * first moment from which that goes on for as long as the hold.
   */
  readonly shows: (sick: Sick) => number | undefined;
}

/** What cold and heat do to a tank, whatever brought them. */
const CHILLED: readonly AlertWatch[] = ['tank-too-cold', 'heater-overmatched', 'duty-unexplained'];
const HEATED: readonly AlertWatch[] = ['tank-too-warm', 'duty-unexplained'];

const DAYS = (least: number, most: number) => [least * DAY, most * DAY] as const;
const HOURS = (least: number, most: number) => [least * HOUR, most * HOUR] as const;

/** The hold of each watch is its threshold's, or the span that it has to see: see `holdIs`. */
export const SYMPTOMS: Readonly<Record<Fault['kind'], Symptoms>> = {
  'stuck-on': {
    tells: ['heater-stuck-on'],
    follows: [...HEATED, 'heater-against-chiller'],
    aftermath: DAY,
    lasts: DAYS(3, 4),
    holdIs: '10 min',
    shows: stuckOn,
  },
  'dead-heater': {
    tells: ['heater-not-heating'],
    follows: [...CHILLED, 'after-tending'],
    aftermath: DAY,
    lasts: DAYS(3, 5),
    holdIs: '1 h',
    shows: dead,
  },
  'weak-heater': {
    tells: ['heater-weak'],
    // With less power the room may no longer be warm enough.
    follows: [...CHILLED, 'heater-unheard', 'room-cooling'],
    aftermath: 3 * DAY,
    lasts: DAYS(5, 7),
    holdIs: 'its first 3 runs',
    shows: weak,
  },
  'drifting-heater': {
    tells: ['heater-drifting'],
    follows: [...CHILLED, ...HEATED, 'heater-stuck-on', 'heater-not-heating'],
    aftermath: 15 * DAY,
    lasts: DAYS(32, 36),
    holdIs: '14 days',
    shows: drifting,
  },
  'chattering-heater': {
    tells: ['heater-chattering'],
    // What is learned from a rattling contact is wrong until it has been quiet for a day.
    follows: ['duty-unexplained', 'heater-stuck-on', 'heater-drifting', 'heater-unheard'],
    aftermath: DAY,
    lasts: DAYS(2, 3),
    holdIs: '10 min',
    shows: chattering,
  },
  'dry-heater': {
    tells: ['heater-unheard'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '2 h of heat',
    shows: dry,
  },
  'fighting-chiller': {
    tells: ['heater-against-chiller'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(3, 4),
    holdIs: 'a tenth of a day',
    shows: fighting,
  },
  'stopped-pump': {
    tells: ['pump-stopped', 'air-stopped'],
    follows: ['duty-unexplained', 'after-tending'],
    aftermath: DAY,
    lasts: DAYS(0.5, 1),
    holdIs: '15 min, as pumps pause 10 min at feeding; 30 min of an air pump',
    shows: stoppedPump,
  },
  'laboring-pump': {
    tells: ['pump-laboring', 'air-stopped'],
    follows: ['duty-unexplained', 'after-tending'],
    aftermath: 2 * DAY,
    lasts: DAYS(4, 5),
    holdIs: '15 min, 24 h; 30 min of an air pump',
    shows: laboring,
  },
  'light-stays-on': {
    tells: ['light-off-plan'],
    follows: HEATED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '30 min',
    shows: lightOffPlan,
  },
  'light-stays-off': {
    tells: ['light-off-plan'],
    follows: CHILLED,
    aftermath: DAY,
    lasts: DAYS(1, 2),
    holdIs: '30 min',
    shows: lightOffPlan,
  },
  'displaced-probe': {
    tells: ['tank-too-cold', 'tank-too-warm', 'heater-unheard', 'heater-overmatched'],
    follows: [...CHILLED, ...HEATED, 'heater-not-heating', 'mat-overheating', 'heater-drifting'],
    aftermath: 2 * DAY,
    lasts: DAYS(1, 2),
    holdIs: '10 min out of range (terrarium 30), 2 h of heat',
    shows: displaced,
  },
  'frozen-probe': {
    tells: ['probe-frozen'],
    follows: ['heater-unheard', 'heater-overmatched', 'heater-drifting', 'duty-unexplained'],
    aftermath: 2 * DAY,
    lasts: DAYS(1, 2),
    holdIs: '3 × its longest constancy',
    shows: frozen,
  },
  'silent-probe': {
    tells: ['probe-silent'],
    follows: [],
    aftermath: DAY,
    lasts: HOURS(6, 12),
    holdIs: '3 intervals of 5 min',
    shows: threeIntervals,
  },
  'plug-offline': {
    tells: ['plug-silent'],
    follows: ['after-tending'],
    aftermath: DAY,
    lasts: HOURS(6, 12),
    holdIs: '3 intervals of 5 min',
    shows: threeIntervals,
  },
  'lid-off': {
    tells: ['duty-unexplained'],
    // Its heat goes out at the top: the water answers less than it should.
    follows: ['tank-too-cold', 'heater-overmatched', 'heater-unheard'],
    aftermath: 2 * DAY,
    lasts: DAYS(3, 4),
    holdIs: '12 h after the 6 h looked at',
    shows: lidOff,
  },
  'open-window': {
    tells: ['room-cooling'],
    follows: [...CHILLED, 'mat-overheating', 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(3, 8),
    holdIs: '10 min after a level of 30 min',
    shows: cooling,
  },
  'power-cut': {
    tells: ['power-cut'],
    follows: [...CHILLED, 'plug-silent', 'after-tending', 'room-cooling', 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(0.5, 8),
    holdIs: '3 intervals of 5 min, and 1 min',
    shows: powerCut,
  },
  'cold-night': {
    tells: ['room-cooling'],
    follows: [...CHILLED, 'expensive-night'],
    aftermath: 1.5 * DAY,
    lasts: HOURS(12, 12),
    holdIs: '10 min after a level of 30 min',
    shows: cooling,
  },
};
