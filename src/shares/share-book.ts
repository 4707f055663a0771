import { type Calendar, digest, type Instant, type LocalDate } from '../units/index.ts';
import type { MovedConfig } from './config.ts';
import { UPKEEP } from './config.ts';
import { type Belonging, type Division, divisionOf, type TankFacts } from './division.ts';
import { ALL_UPKEEP } from './share.ts';

/** Whose a device is, and whose it became by and by. */
export interface Movable extends Belonging {
  /** By date, the earliest first. */
  readonly moved?: MovedConfig | undefined;
}

export interface ShareBook {
  /** Whose the device is on the local day that begins at `day`. Unknown devices: all upkeep. */
  of(device: string, day: Instant): Division;
  /**
   * A short text that changes when the division of any device on that day does, over a change of
   * the config too; not when only the order in the file does.
   */
  keyOf(day: Instant): string;
  /** Every tank that any device serves at any time, and 'upkeep'; in the order of their ids. */
  readonly tanks: readonly string[];
}

/** A division and the local midnight from which on it holds. */
interface Step {
  readonly from: Instant;
  readonly division: Division;
}

const UNKNOWN: Division = { kind: 'fixed', shares: ALL_UPKEEP };

/**
 * Makes the devices' belongings ready to be asked by day: a device moved on a Tuesday belongs to its
 * new tanks from the local midnight on with which that Tuesday begins.
 * @param tanks what is known of every tank that a rule goes by
 * @throws CodedError AMP_SHARES_TANK when a tank lacks what a rule goes by
 */
export function compileShares(
  devices: Readonly<Record<string, Movable>>,
  tanks: Readonly<Record<string, TankFacts>>,
  calendar: Calendar,
): ShareBook {
  const book = new Map<string, readonly Step[]>(
    Object.entries(devices).map(([id, device]) => [id, stepsOf(device, tanks, calendar)]),
  );
  const ids = [...book.keys()].sort();
  const turns = [...new Set([...book.values()].flatMap((steps) => steps.map(({ from }) => from)))]
    .sort((a, b) => a - b)
    .map((from) => ({ from, key: undefined as string | undefined }));

  const of = (device: string, day: Instant): Division =>
    book.get(device)?.findLast(({ from }) => from <= day)?.division ?? UNKNOWN;

  return {
    of,
    keyOf(day) {
      const turn = turns.findLast(({ from }) => from <= day);
      if (turn === undefined) return digest('');
      turn.key ??= digest(ids.map((id) => `${id} ${textOf(of(id, turn.from))}`).join('\n'));
      return turn.key;
    },
    tanks: [
      ...new Set([
        UPKEEP,
        ...[...book.values()].flat().flatMap(({ division }) => served(division)),
      ]),
    ].sort(),
  };
}

const BEGINNING = Number.NEGATIVE_INFINITY as Instant;

function stepsOf(
  device: Movable,
  tanks: Readonly<Record<string, TankFacts>>,
  calendar: Calendar,
): Step[] {
  return [
    { from: BEGINNING, division: divisionOf(device, tanks) },
    ...(device.moved ?? []).map(({ on, ...belonging }) => ({
      from: calendar.dayOf(on as LocalDate).from,
      division: divisionOf(belonging, tanks),
    })),
  ];
}

function served(division: Division): string[] {
  return (division.kind === 'fixed' ? division.shares : division.needs).map(({ tank }) => tank);
}

function textOf(division: Division): string {
  const parts =
    division.kind === 'fixed'
      ? division.shares.map(({ tank, weight }) => `${tank}:${weight}`)
      : division.needs.map(({ tank, watts }) => `${tank}:${watts}`);
  return `${division.kind} ${parts.join(' ')}`;
}
