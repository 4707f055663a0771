import type { Fields } from './fields.ts';
import type { IntervalReading, LocalTime, Part, ReadingType } from './parts.ts';

/** What is read of each kind of part. */
export const WANTED = {
  UsagePoint: new Set(['ServiceCategory/kind']),
  MeterReading: new Set<string>(),
  ReadingType: new Set([
    'uom',
    'powerOfTenMultiplier',
    'flowDirection',
    'accumulationBehaviour',
    'commodity',
    'currency',
  ]),
  IntervalBlock: new Set<string>(),
  IntervalReading: new Set([
    'cost',
    'value',
    'timePeriod/start',
    'timePeriod/duration',
    'ReadingQuality/quality',
  ]),
  LocalTimeParameters: new Set(['tzOffset', 'dstOffset', 'dstStartRule', 'dstEndRule']),
} as const;

/** @throws FileRefused AMP_ESPI_VALUE */
export const readType = (fields: Fields): Omit<ReadingType, keyof Part> => ({
  uom: fields.whole('uom'),
  powerOfTenMultiplier: fields.whole('powerOfTenMultiplier'),
  flowDirection: fields.whole('flowDirection'),
  accumulationBehaviour: fields.whole('accumulationBehaviour'),
  commodity: fields.whole('commodity'),
  currency: fields.whole('currency'),
});

/** @throws FileRefused AMP_ESPI_VALUE */
export const readClock = (fields: Fields): Omit<LocalTime, keyof Part> => ({
  tzOffset: fields.wholeThere('tzOffset'),
  dstOffset: fields.whole('dstOffset') ?? 0,
  dstStartRule: fields.text('dstStartRule'),
  dstEndRule: fields.text('dstEndRule'),
});

/** 1990 to 2100, in seconds since 1970: what a meter of a house can have counted. */
const EARLIEST = 631_152_000;
const LATEST = 4_102_444_800;
const LONGEST = 400 * 86_400;

/** @throws FileRefused AMP_ESPI_VALUE, AMP_ESPI_TIME */
export function readInterval(fields: Fields, number: number, line: number): IntervalReading {
  const start = fields.wholeThere('timePeriod/start');
  const seconds = fields.wholeThere('timePeriod/duration');
  if (start < EARLIEST || start > LATEST) {
    fields.refuse(
      'AMP_ESPI_TIME',
      'timePeriod/start',
      `is not between 1990 and 2100: ${start}; it counts seconds since 1970, UTC`,
    );
  }
  if (seconds <= 0 || seconds > LONGEST) {
    fields.refuse('AMP_ESPI_TIME', 'timePeriod/duration', `is not 1 to ${LONGEST}: ${seconds}`);
  }
  return {
    number,
    line,
    start,
    seconds,
    value: fields.wholeThere('value'),
    cost: fields.whole('cost'),
    quality: qualityOf(fields.texts('ReadingQuality/quality')),
  };
}

/**
 * ESPI's qualities as the books know them: 8 estimated, else 0 valid, else unknown; a reading may
 * have several, such as 0 and 19, valid and billed.
 */
function qualityOf(codes: readonly string[]): IntervalReading['quality'] {
  if (codes.includes('8')) return 'estimated';
  return codes.includes('0') ? 'valid' : 'unknown';
}
