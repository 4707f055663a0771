import sax from 'sax';
import { FileRefused } from '../refused.ts';

/** An element as it opens: its name without prefix, and the namespace that the prefix stands for. */
export interface XmlElement {
  readonly local: string;
  readonly namespace: string;
  attribute(name: string): string | undefined;
}

/** Hears of elements in the order of the file. Lines count from 1. */
export interface XmlListener {
  open(element: XmlElement, line: number): void;
  /** `text` is what stands between the element's last child, or its beginning, and its end. */
  close(text: string, line: number): void;
}

export interface XmlReader {
  /** @throws FileRefused for what is no well-formed XML, or more of it than anyone needs. */
  write(text: string): void;
  /** @throws FileRefused when the file ends before its root element does. */
  end(): void;
}

const DEEPEST = 40;
const LONGEST_TEXT = 10_000;
const LONGEST_TAG = 16_384;
/** Limits inside of a tag are looked at between slices. */
const SLICE = 16_384;

/**
 * Reads XML in pieces and keeps nothing of it. Document types are refused, so that there are no
 * entities but those of XML itself and nothing is ever fetched.
 */
export function createXmlReader(listener: XmlListener): XmlReader {
  const options = { xmlns: true, position: true, strictEntities: true };
  const parser = sax.parser(true, options);
  let depth = 0;
  let text = '';
  let tagBegan: number | undefined;

  const line = (): number => parser.line + 1;
  const refuse = (code: `AMP_${string}`, message: string, remedy: string): never => {
    throw new FileRefused({ code, line: line(), message, remedy });
  };

  parser.onerror = (error) => {
    const [reason = ''] = error.message.split('\n');
    if (/buffer length.*doctype/i.test(reason)) refuseDocumentType('');
    if (/buffer length/i.test(reason)) refuseLength();
    refuse('AMP_ESPI_XML', `not well-formed XML (${reason})`, MEND_XML);
  };
  parser.ondoctype = (declaration) => refuseDocumentType(declaration);
  parser.onsgmldeclaration = () => refuseDocumentType('');
  parser.onopentagstart = () => {
    tagBegan = parser.position;
    depth += 1;
    if (depth > DEEPEST) {
      refuse('AMP_ESPI_DEEP', `elements within more than ${DEEPEST} others`, NO_USE_FILE);
    }
  };
  parser.onopentag = (tag) => {
    tagBegan = undefined;
    text = '';
    listener.open(elementOf(tag as sax.QualifiedTag), line());
  };
  parser.onclosetag = () => {
    depth -= 1;
    const own = text;
    text = '';
    listener.close(own, line());
  };
  const addText = (more: string): void => {
    text += more;
    if (text.length > LONGEST_TEXT) refuseLength();
  };
  parser.ontext = addText;
  parser.oncdata = addText;

  function refuseDocumentType(declaration: string): never {
    if (/^\s*html\b/i.test(declaration)) {
      return refuse('AMP_ESPI_NOT_ESPI', 'this is a web page', FETCH_DATA);
    }
    return refuse(
      'AMP_ESPI_DOCTYPE',
      'a document type, which could declare entities, is not read',
      'take the <!DOCTYPE …> out, and trust the file only if you know where it comes from',
    );
  }

  function refuseLength(): never {
    return refuse('AMP_ESPI_TEXT', 'a text or tag that is far too long', NO_USE_FILE);
  }

  return {
    write(piece) {
      for (let from = 0; from < piece.length; from += SLICE) {
        parser.write(piece.slice(from, from + SLICE));
        if (tagBegan !== undefined && parser.position - tagBegan > LONGEST_TAG) refuseLength();
      }
    },
    end() {
      parser.close();
    },
  };
}

export const FETCH_DATA = 'download the data themselves: an XML file of interval readings (ESPI)';
const MEND_XML = 'the file is damaged or cut off: fetch it again';
const NO_USE_FILE = 'this is no file of interval readings: fetch it again from the utility';

const elementOf = (tag: sax.QualifiedTag): XmlElement => ({
  local: tag.local,
  namespace: tag.uri,
  attribute: (name) =>
    Object.hasOwn(tag.attributes, name) ? tag.attributes[name]?.value : undefined,
});
