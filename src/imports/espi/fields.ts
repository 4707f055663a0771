import { FileRefused, quoted } from '../refused.ts';

/** The texts of an element's descendants by path, such as 'timePeriod/start', with their lines. */
export interface Fields {
  put(path: string, text: string, line: number): void;
  /** The text at a path that stands there at most once. */
  text(path: string): string | undefined;
  /** The texts at a path that may stand there often. */
  texts(path: string): readonly string[];
  /** @throws FileRefused AMP_ESPI_VALUE for what is no whole number, or stands there twice. */
  whole(path: string): number | undefined;
  /** @throws FileRefused as `whole`, also when it is missing. */
  wholeThere(path: string): number;
  /** @throws FileRefused with the place of what stands at `path`. */
  refuse(code: `AMP_${string}`, path: string, message: string): never;
}

const WHOLE = /^[+-]?\d{1,14}$/;

/** More of one kind are not kept: no reading has as many qualities. */
const MOST_OF_A_PATH = 50;

interface Found {
  readonly text: string;
  readonly line: number;
}

/**
 * Keeps the texts at the paths that are `wanted`.
 * @param place names the element for messages: 'IntervalBlock 2, IntervalReading 7'.
 */
export function createFields(place: string, line: number, wanted: ReadonlySet<string>): Fields {
  const found = new Map<string, Found[]>();

  function refuse(code: `AMP_${string}`, path: string, message: string): never {
    throw new FileRefused({
      code,
      line: found.get(path)?.at(-1)?.line ?? line,
      place,
      message: `${path} ${message}`,
      remedy: 'have the utility mend the file, or take this part out of it',
    });
  }

  function once(path: string): Found | undefined {
    const there = found.get(path);
    if (there !== undefined && there.length > 1) {
      refuse(codeOf(path), path, 'stands there twice');
    }
    return there?.[0];
  }

  function whole(path: string): number | undefined {
    const text = once(path)?.text;
    if (text === undefined) return undefined;
    if (!WHOLE.test(text)) refuse(codeOf(path), path, `is no whole number: ${quoted(text)}`);
    return Number(text);
  }

  return {
    put(path, text, at) {
      if (!wanted.has(path)) return;
      const trimmed = { text: text.trim(), line: at };
      const there = found.get(path);
      if (there === undefined) found.set(path, [trimmed]);
      else if (there.length < MOST_OF_A_PATH) there.push(trimmed);
    },
    text: (path) => once(path)?.text,
    texts: (path) => (found.get(path) ?? []).map(({ text }) => text),
    whole,
    wholeThere: (path) => whole(path) ?? refuse(codeOf(path), path, 'is missing'),
    refuse,
  };
}

const codeOf = (path: string): 'AMP_ESPI_TIME' | 'AMP_ESPI_VALUE' =>
  path.startsWith('timePeriod/') ? 'AMP_ESPI_TIME' : 'AMP_ESPI_VALUE';
