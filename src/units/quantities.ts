import { CodedError } from './errors.ts';

declare const unit: unique symbol;

/** A finite number that carries its unit in its type. Made only by the constructors below. */
export type Quantity<U extends string> = number & { readonly [unit]: U };

export type Watts = Quantity<'W'>;
export type WattHours = Quantity<'Wh'>;
/** Whole milliwatt-hours: what the books add up, so that sums are exact. */
export type MilliwattHours = Quantity<'mWh'>;
export type Celsius = Quantity<'°C'>;
export type Percent = Quantity<'%'>;
/** A point in time: milliseconds since 1970-01-01T00:00Z. */
export type Instant = Quantity<'ms since 1970Z'>;
/** A length of time in milliseconds. */
export type Millis = Quantity<'ms'>;

function finite<U extends string>(value: number, name: string): Quantity<U> {
  if (!Number.isFinite(value)) {
    throw new CodedError('AMP_UNITS_NOT_FINITE', `${name} must be a finite number, got ${value}`);
  }
  return value as Quantity<U>;
}

/** @throws CodedError AMP_UNITS_NOT_FINITE for NaN and infinities, as do all constructors here. */
export const watts = (value: number): Watts => finite<'W'>(value, 'power');
export const wattHours = (value: number): WattHours => finite<'Wh'>(value, 'energy');
export const celsius = (value: number): Celsius => finite<'°C'>(value, 'temperature');
export const percent = (value: number): Percent => finite<'%'>(value, 'percentage');
export const instant = (ms: number): Instant => finite<'ms since 1970Z'>(ms, 'time');
export const millis = (ms: number): Millis => finite<'ms'>(ms, 'duration');

/** Rounds to the nearest whole milliwatt-hour. */
export const milliwattHours = (value: number): MilliwattHours =>
  finite<'mWh'>(Math.round(value), 'energy');

export const SECOND = 1_000 as Millis;
export const MINUTE = 60_000 as Millis;
export const HOUR = 3_600_000 as Millis;
export const DAY = 86_400_000 as Millis;

export const later = (at: Instant, by: number): Instant => (at + by) as Instant;
export const between = (from: Instant, to: Instant): Millis => (to - from) as Millis;
