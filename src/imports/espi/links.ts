import { FileRefused } from '../refused.ts';
import type { IntervalBlock, MeterReading, Part, Parts, ReadingType, UsagePoint } from './parts.ts';

/** What the readings of a block belong to. */
export interface Owner {
  readonly type: ReadingType;
  /** From the usage point's own address; 'house' in a file without addresses. */
  readonly meter: string;
  readonly usagePoint: UsagePoint | undefined;
}

/**
 * Finds the owner of each block by the links between the entries of a feed: a block is listed under
 * its meter reading, which names its reading type and is listed under its usage point. Where a file
 * has only one of them, no link is needed.
 */
export function createOwners(parts: Parts): (block: IntervalBlock) => Owner {
  const byMeterReading = new Map<MeterReading, Owner>();
  const meterReadingOf = under(parts.meterReadings, 'IntervalBlock');
  const usagePointOf = under(parts.usagePoints, 'MeterReading');
  const typeBySelf = new Map(
    parts.readingTypes.map((type) => [addressOf(type.links.self), type] as const),
  );

  function typeOf(meterReading: MeterReading | undefined, block: IntervalBlock): ReadingType {
    for (const href of meterReading?.links.related ?? []) {
      const type = typeBySelf.get(addressOf(href));
      if (type !== undefined) return type;
    }
    const [only, ...others] = parts.readingTypes;
    if (only !== undefined && others.length === 0) return only;
    throw new FileRefused({
      code: 'AMP_ESPI_LINKS',
      line: block.line,
      place: `IntervalBlock ${block.number}`,
      message:
        only === undefined
          ? 'the file has no ReadingType, so that the unit of its readings is unknown'
          : `no link says which of the ${others.length + 1} ReadingTypes its readings are of`,
      remedy: 'fetch the whole feed from the utility, with the entries that its links name',
    });
  }

  function ownerOf(meterReading: MeterReading | undefined, block: IntervalBlock): Owner {
    const usagePoint =
      meterReading === undefined ? only(parts.usagePoints) : usagePointOf(meterReading);
    const address = usagePoint?.links.self ?? meterReading?.links.self ?? block.links.self;
    return { type: typeOf(meterReading, block), meter: meterName(address), usagePoint };
  }

  return (block) => {
    const meterReading = meterReadingOf(block);
    if (meterReading === undefined) return ownerOf(undefined, block);
    let owner = byMeterReading.get(meterReading);
    if (owner === undefined) {
      owner = ownerOf(meterReading, block);
      byMeterReading.set(meterReading, owner);
    }
    return owner;
  };
}

/** Finds the part under whose `collection` another one is listed. */
function under<P extends Part>(
  owners: readonly P[],
  collection: string,
): (part: Part) => P | undefined {
  const byCollection = new Map<string, P>();
  for (const owner of owners) {
    const own = addressOf(owner.links.self);
    if (own !== undefined) byCollection.set(`${own}/${collection}`, owner);
    for (const href of owner.links.related) {
      const address = addressOf(href);
      if (address?.endsWith(`/${collection}`) === true) byCollection.set(address, owner);
    }
  }
  return (part) => {
    const up = addressOf(part.links.up);
    return (up === undefined ? undefined : byCollection.get(up)) ?? only(owners);
  };
}

const only = <P>(parts: readonly P[]): P | undefined => (parts.length === 1 ? parts[0] : undefined);

/** A link without server, query and slashes at its ends, which feeds write now so, now so. */
const addressOf = (href: string | undefined): string | undefined =>
  href
    ?.trim()
    .replace(/^[a-z]+:\/\/[^/]*/i, '')
    .replace(/[?#].*$/, '')
    .replace(/^\/+|\/+$/g, '');

/** The last part of a usage point's address, as an id. */
function meterName(href: string | undefined): string {
  const address = addressOf(href) ?? '';
  const part = /UsagePoint\/([^/]+)/.exec(address)?.[1] ?? address.split('/').at(-1) ?? '';
  const id = part
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 64);
  return id === '' ? 'house' : id;
}
