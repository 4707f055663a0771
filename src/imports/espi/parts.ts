/** What an ESPI file is made of, as found: nothing is judged but that numbers are numbers. */

/** The links of an Atom entry, and its title; of a bare element, none. */
export interface Links {
  readonly self: string | undefined;
  readonly up: string | undefined;
  readonly related: readonly string[];
  readonly title: string | undefined;
}

export interface Part {
  readonly links: Links;
  readonly line: number;
}

/** A place where electricity is delivered: a meter of the house. */
export interface UsagePoint extends Part {
  /** ESPI ServiceCategory: 0 electricity. */
  readonly service: number | undefined;
}

/** Ties readings to a usage point and to their type. */
export type MeterReading = Part;

/** What the numbers of readings mean. Codes as in the standard. */
export interface ReadingType extends Part {
  readonly uom: number | undefined;
  readonly powerOfTenMultiplier: number | undefined;
  readonly flowDirection: number | undefined;
  readonly accumulationBehaviour: number | undefined;
  readonly commodity: number | undefined;
  readonly currency: number | undefined;
}

export interface IntervalReading {
  /** Within its block, from 1. */
  readonly number: number;
  readonly line: number;
  /** Seconds since 1970, UTC. */
  readonly start: number;
  readonly seconds: number;
  readonly value: number;
  /** In 1e-5 of the currency. */
  readonly cost: number | undefined;
  readonly quality: 'valid' | 'estimated' | 'unknown';
}

export interface IntervalBlock extends Part {
  /** Within the file, from 1. */
  readonly number: number;
  readonly readings: readonly IntervalReading[];
}

/** The utility's own clock. */
export interface LocalTime extends Part {
  /** Seconds east of UTC, without daylight saving. */
  readonly tzOffset: number;
  readonly dstOffset: number;
  /** Coded rules, eight hexadecimal digits. */
  readonly dstStartRule: string | undefined;
  readonly dstEndRule: string | undefined;
}

export interface Parts {
  readonly usagePoints: readonly UsagePoint[];
  readonly meterReadings: readonly MeterReading[];
  readonly readingTypes: readonly ReadingType[];
  readonly blocks: readonly IntervalBlock[];
  readonly localTimes: readonly LocalTime[];
}

/** Where a reading stands, for a keeper who looks for it. */
export const placeOf = (block: IntervalBlock, reading: IntervalReading): string =>
  `IntervalBlock ${block.number}, IntervalReading ${reading.number}`;
