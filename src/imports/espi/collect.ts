import { printable } from '../../units/index.ts';
import { FileRefused, quoted } from '../refused.ts';
import { createFields, type Fields } from './fields.ts';
import { readClock, readInterval, readType, WANTED } from './part-fields.ts';
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

/** A part of the document under way. */
interface Open {
  readonly kind: Kind;
  /** For messages: 'IntervalBlock 2, IntervalReading 7' */
  readonly place: string;
  readonly line: number;
  readonly fields: Fields;
  /** Names of the elements between the part and where the reader is. */
  readonly path: string[];
  /** Of a block. */
  readonly readings: IntervalReading[];
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
  /** From the outermost part to the one that the reader is in. */
  const under: Open[] = [];
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
    const inside = under.at(-1);
    if (!isKind(local)) {
      inside?.path.push(local);
      return;
    }
    let place: string = local;
    if (local === 'IntervalBlock') {
      place = `IntervalBlock ${parts.blocks.length + 1}`;
    } else if (local === 'IntervalReading') {
      if (inside?.kind !== 'IntervalBlock') refuseLoose(line);
      place = `${inside.place}, IntervalReading ${inside.readings.length + 1}`;
    }
    const fields = createFields(place, line, WANTED[local]);
    under.push({ kind: local, place, line, fields, path: [], readings: [] });
  }

  function closeEspi(text: string, line: number): void {
    const part = under.at(-1);
    if (part === undefined) return;
    if (part.path.length > 0) {
      part.fields.put(part.path.join('/'), text, line);
      part.path.pop();
      return;
    }
    under.pop();
    keepOne(line);
    keep(part);
  }

  function keep({ kind, fields, line, readings }: Open): void {
    const links: Links = entry?.links ?? NO_LINKS;
    switch (kind) {
      case 'UsagePoint':
        parts.usagePoints.push({ links, line, service: fields.whole('ServiceCategory/kind') });
        break;
      case 'MeterReading':
        parts.meterReadings.push({ links, line });
        break;
      case 'ReadingType':
        parts.readingTypes.push({ links, line, ...readType(fields) });
        break;
      case 'IntervalBlock':
        parts.blocks.push({ links, line, number: parts.blocks.length + 1, readings });
        break;
      case 'LocalTimeParameters':
        parts.localTimes.push({ links, line, ...readClock(fields) });
        break;
      case 'IntervalReading': {
        const block = under.at(-1)?.readings;
        block?.push(readInterval(fields, block.length + 1, line));
        break;
      }
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
      else if (atom) openAtom(element);
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

function refuseLoose(line: number): never {
  throw new FileRefused({
    code: 'AMP_ESPI_LINKS',
    line,
    place: 'IntervalReading',
    message: 'it stands in no IntervalBlock, so that nothing says what it belongs to',
    remedy: 'fetch the whole feed from the utility',
  });
}

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
