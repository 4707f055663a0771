import { FileRefused, printable, quoted } from '../refused.ts';
import { createFields, type Fields } from './fields.ts';
import { readInterval, WANTED } from './part-fields.ts';
import type {
  IntervalBlock,
  IntervalReading,
  Links,
  LocalTime,
  MeterReading,
  Parts,
  ReadingType,
  UsagePoint,
} from './parts.ts';
import { FETCH_DATA, type XmlElement, type XmlListener } from './xml.ts';

const ESPI = 'http://naesb.org/espi';
const ATOM = 'http://www.w3.org/2005/Atom';

type Kind = keyof typeof WANTED;
const isKind = (name: string): name is Kind => Object.hasOwn(WANTED, name);

/** The parts of an ESPI document under way. */
interface Open {
  readonly kind: Kind;
  readonly line: number;
  readonly fields: Fields;
  /** Names of the elements between the part and where the reader is. */
  readonly path: string[];
}

interface OpenLinks {
  self: string | undefined;
  up: string | undefined;
  related: string[];
  title: string | undefined;
}

const LONGEST_TITLE = 200;

/** An entry with more links than this is none that any utility writes. */
const MOST_LINKS = 1_000;

/**
 * Picks the parts of an ESPI document out of its elements: usage points, meter readings, reading
 * types, blocks of interval readings, the clock; in an Atom feed or bare, below any prefix.
 * @param mostReadings more parts or readings are refused, with AMP_ESPI_ROWS
 */
export function collectParts(mostReadings: number): XmlListener & { readonly parts: Parts } {
  const parts = {
    usagePoints: [] as UsagePoint[],
    meterReadings: [] as MeterReading[],
    readingTypes: [] as ReadingType[],
    blocks: [] as IntervalBlock[],
    localTimes: [] as LocalTime[],
  };
  let depth = 0;
  let entry: { links: OpenLinks; depth: number } | undefined;
  let part: Open | undefined;
  /** The interval reading within an open block. */
  let reading: Open | undefined;
  let readings: IntervalReading[] = [];
  let kept = 0;

  function keepOne(line: number): void {
    kept += 1;
    if (kept > mostReadings) {
      throw new FileRefused({
        code: 'AMP_ESPI_ROWS',
        line,
        message: `the file has more than ${mostReadings} readings`,
        remedy: 'export a shorter time, and import the parts one after the other',
      });
    }
  }

  function openEspi(local: string, line: number): void {
    if (part === undefined) {
      if (!isKind(local)) return;
      const place = local === 'IntervalBlock' ? `IntervalBlock ${parts.blocks.length + 1}` : local;
      part = { kind: local, line, path: [], fields: createFields(place, line, WANTED[local]) };
      readings = [];
      return;
    }
    part.path.push(local);
    if (part.kind !== 'IntervalBlock') return;
    if (reading !== undefined) {
      reading.path.push(local);
    } else if (local === 'IntervalReading') {
      const place = `IntervalBlock ${parts.blocks.length + 1}, IntervalReading ${readings.length + 1}`;
      const fields = createFields(place, line, WANTED.IntervalReading);
      reading = { kind: 'IntervalReading', line, path: [], fields };
    }
  }

  function closeEspi(text: string, line: number): void {
    if (reading !== undefined) {
      if (reading.path.length === 0) {
        keepOne(line);
        readings.push(readInterval(reading.fields, readings.length + 1, reading.line));
        reading = undefined;
      } else {
        reading.fields.put(reading.path.join('/'), text, line);
        reading.path.pop();
      }
      part?.path.pop();
      return;
    }
    if (part === undefined) return;
    if (part.path.length > 0) {
      part.fields.put(part.path.join('/'), text, line);
      part.path.pop();
      return;
    }
    const done = part;
    part = undefined;
    keepOne(line);
    keep(done);
  }

  function keep({ kind, fields, line }: Open): void {
    const links: Links = entry?.links ?? NO_LINKS;
    switch (kind) {
      case 'UsagePoint':
        parts.usagePoints.push({ links, line, service: fields.whole('ServiceCategory/kind') });
        break;
      case 'MeterReading':
        parts.meterReadings.push({ links, line });
        break;
      case 'ReadingType':
        parts.readingTypes.push({
          links,
          line,
          uom: fields.whole('uom'),
          powerOfTenMultiplier: fields.whole('powerOfTenMultiplier'),
          flowDirection: fields.whole('flowDirection'),
          accumulationBehaviour: fields.whole('accumulationBehaviour'),
          commodity: fields.whole('commodity'),
          currency: fields.whole('currency'),
        });
        break;
      case 'IntervalBlock':
        parts.blocks.push({ links, line, number: parts.blocks.length + 1, readings });
        break;
      case 'LocalTimeParameters':
        parts.localTimes.push({
          links,
          line,
          tzOffset: fields.wholeThere('tzOffset'),
          dstOffset: fields.whole('dstOffset') ?? 0,
          dstStartRule: fields.text('dstStartRule'),
          dstEndRule: fields.text('dstEndRule'),
        });
        break;
      case 'IntervalReading':
        break;
    }
  }

  function openAtom(element: XmlElement): void {
    if (element.local === 'entry' && entry === undefined) {
      const links = { self: undefined, up: undefined, related: [], title: undefined };
      entry = { links, depth };
    } else if (element.local === 'link' && entry !== undefined) {
      const href = element.attribute('href');
      const rel = element.attribute('rel');
      if (href === undefined) return;
      if (rel === 'self' || rel === 'up') entry.links[rel] = href;
      else if (rel === 'related' && entry.links.related.length < MOST_LINKS) {
        entry.links.related.push(href);
      }
    }
  }

  /** Namespaces of the open elements, and whether each is an Atom title of the entry. */
  const open: { readonly espi: boolean; readonly title: boolean }[] = [];

  return {
    parts,
    open(element, line) {
      depth += 1;
      const espi = element.namespace === ESPI;
      const atom = element.namespace === ATOM;
      if (depth === 1 && !espi && !(atom && ['feed', 'entry'].includes(element.local))) {
        refuseElement(element, line);
      }
      if (!espi && (element.local === 'IntervalBlock' || element.local === 'IntervalReading')) {
        refuseElement(element, line);
      }
      const title = atom && element.local === 'title' && entry?.depth === depth - 1;
      open.push({ espi, title });
      if (espi) openEspi(element.local, line);
      else if (part === undefined && atom) openAtom(element);
    },
    close(text, line) {
      const closing = open.pop();
      if (closing?.espi === true) closeEspi(text, line);
      if (closing?.title === true && entry !== undefined) {
        entry.links.title = printable(text.trim().slice(0, LONGEST_TITLE)) || undefined;
      }
      if (entry?.depth === depth) entry = undefined;
      depth -= 1;
    },
  };
}

const NO_LINKS: Links = { self: undefined, up: undefined, related: [], title: undefined };

function refuseElement({ local, namespace }: XmlElement, line: number): never {
  throw new FileRefused({
    code: 'AMP_ESPI_NOT_ESPI',
    line,
    message: /^html$/i.test(local)
      ? 'this is a web page'
      : `<${local.slice(0, 60)}> ${
          namespace === '' ? 'has no namespace' : `is of the namespace ${quoted(namespace)}`
        }; interval readings are of '${ESPI}', in a feed of '${ATOM}' or bare`,
    remedy: FETCH_DATA,
  });
}
