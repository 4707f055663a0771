import type { Calendar } from '../../units/index.ts';
import { type Chunks, textOf } from '../chunks.ts';
import { type HouseImport, houseImport, type MeterImport } from '../house-import.ts';
import { FileRefused } from '../refused.ts';
import { collectParts } from './collect.ts';
import { convert, inOrder, type Placed } from './convert.ts';
import { type Direction, judge, judgeCurrency, type Meaning } from './judge.ts';
import { createOwners, type Owner } from './links.ts';
import { clockWarning } from './local-time.ts';
import type { Parts } from './parts.ts';
import { createXmlReader, FETCH_DATA } from './xml.ts';

export interface EspiOptions {
  /** Of the site: the file's own clock is held against it. */
  readonly calendar: Calendar;
  /** Of the site, ISO 4217 letters: costs in another one are refused. */
  readonly currency: string;
  /** The id to give to the file's meter; from its address in the file where left out. */
  readonly meter?: string;
  /** Default: the energy that the house draws. */
  readonly direction?: Direction;
  /** What to do with readings that are not energy in that direction. Default: refuse the file. */
  readonly others?: 'refuse' | 'leave-out';
  /** Bytes. */
  readonly largestFile?: number;
  readonly mostReadings?: number;
}

/**
 * Reads interval data as utilities publish them (NAESB REQ.21 ESPI): an Atom feed or its bare usage
 * elements. The file is read in pieces and not kept; nothing is returned unless all of it is right.
 * Intervals of any length stay as they are.
 * @throws FileRefused with a code AMP_ESPI_…, the line and what to do.
 */
export async function readEspi(chunks: Chunks, options: EspiOptions): Promise<HouseImport> {
  const { largestFile = 200_000_000, mostReadings = 1_000_000 } = options;
  const listener = collectParts(mostReadings);
  const reader = createXmlReader(listener);
  const rules = {
    largestFile,
    tooLarge: 'AMP_ESPI_SIZE',
    notText: 'AMP_ESPI_XML',
  } as const;
  for await (const text of textOf(chunks, rules)) reader.write(text);
  reader.end();
  return assemble(listener.parts, options);
}

function assemble(parts: Parts, options: EspiOptions): HouseImport {
  const ownerOf = createOwners(parts);
  const meters = new Map<string, { owner: Owner; placed: Placed[] }>();
  const meanings = new Map<Owner, Meaning | undefined>();
  const warnings = new Set<string>();
  let rounded = 0;

  for (const block of parts.blocks) {
    if (block.readings.length === 0) continue;
    const owner = ownerOf(block);
    if (!meanings.has(owner)) meanings.set(owner, meaningOf(owner, options, warnings));
    const meaning = meanings.get(owner);
    if (meaning === undefined) continue;
    const hasCosts = block.readings.some(({ cost }) => cost !== undefined);
    const costTold = hasCosts && isCostTold(owner, options, warnings);
    let meter = meters.get(owner.meter);
    if (meter === undefined) {
      meter = { owner, placed: [] };
      meters.set(owner.meter, meter);
    } else if (meter.owner.usagePoint !== owner.usagePoint) {
      refuseMeters(`two usage points are called '${owner.meter}'`);
    }
    for (const reading of block.readings) {
      const { interval, exact } = convert(
        options.meter ?? owner.meter,
        block,
        reading,
        meaning,
        costTold,
      );
      if (!exact) rounded += 1;
      meter.placed.push({ interval, block, reading });
    }
  }

  if (meters.size === 0) refuseEmpty(warnings);
  if (options.meter !== undefined && meters.size > 1) {
    refuseMeters(`the file has ${meters.size} meters (${[...meters.keys()].join(', ')})`);
  }
  if (rounded > 0) {
    warnings.add(`${rounded} readings were rounded to whole milliwatt-hours`);
  }
  const imported = [...meters].map(
    ([id, { owner, placed }]): MeterImport => ({
      id: options.meter ?? id,
      name: owner.usagePoint?.links.title,
      intervals: inOrder(placed),
    }),
  );
  const whole = houseImport(imported, []);
  for (const clock of parts.localTimes) {
    const warning = clockWarning(clock, options.calendar, whole.span);
    if (warning !== undefined) warnings.add(warning);
  }
  return { ...whole, warnings: [...warnings] };
}

/** Undefined for readings that are to be left out. */
function meaningOf(
  { type, usagePoint, meter }: Owner,
  { direction = 'import', others = 'refuse' }: EspiOptions,
  warnings: Set<string>,
): Meaning | undefined {
  const meaning = judge(type, usagePoint, direction);
  if ('code' in meaning) {
    if (others === 'refuse') throw new FileRefused(meaning);
    warnings.add(`readings of ${meter} were left out: line ${meaning.line}: ${meaning.message}`);
    return undefined;
  }
  for (const assumption of meaning.assumed) {
    warnings.add(`the file does not say of ${meter}, and it was assumed, ${assumption}`);
  }
  return meaning;
}

function isCostTold({ type, meter }: Owner, options: EspiOptions, warnings: Set<string>): boolean {
  const verdict = judgeCurrency(type, options.currency);
  if (verdict === 'same') return true;
  if (verdict !== 'untold') throw new FileRefused(verdict);
  warnings.add(`the costs of ${meter} were left out: the file does not say their currency`);
  return false;
}

function refuseMeters(message: string): never {
  throw new FileRefused({
    code: 'AMP_ESPI_METERS',
    message,
    remedy: 'export each meter by itself, and give each a name of its own when importing',
  });
}

function refuseEmpty(warnings: ReadonlySet<string>): never {
  throw new FileRefused({
    code: 'AMP_ESPI_EMPTY',
    message: ['it holds no reading that could be taken', ...warnings].join('; '),
    remedy: FETCH_DATA,
  });
}
