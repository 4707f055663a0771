import { FileRefused } from './refused.ts';

/** A file as it is read: bytes or text, in pieces of any size. */
export type Chunks = AsyncIterable<Uint8Array | string> | Iterable<Uint8Array | string>;

/** What to say of a file that is too large or no text. */
export interface ChunkRules {
  /** In bytes. */
  readonly largestFile: number;
  readonly tooLarge: `AMP_${string}`;
  readonly notText: `AMP_${string}`;
}

/** The text of a file, piece by piece, without a byte order mark. */
export async function* textOf(
  chunks: Chunks,
  { largestFile, tooLarge, notText }: ChunkRules,
): AsyncGenerator<string> {
  const utf8 = new TextDecoder('utf-8', { fatal: true });
  const encoder = new TextEncoder();
  const decode = (bytes?: Uint8Array): string => {
    try {
      return bytes === undefined ? utf8.decode() : utf8.decode(bytes, { stream: true });
    } catch {
      throw new FileRefused({
        code: notText,
        place: `byte ${size}`,
        message: 'the file is not text in UTF-8',
        remedy: 'save or export it as UTF-8',
      });
    }
  };
  let size = 0;
  for await (const chunk of chunks) {
    const bytes = typeof chunk === 'string' ? encoder.encode(chunk) : chunk;
    size += bytes.byteLength;
    if (size > largestFile) {
      throw new FileRefused({
        code: tooLarge,
        message: `it is larger than ${largestFile} bytes`,
        remedy: 'export a shorter time, and import the parts one after the other',
      });
    }
    const text = decode(bytes);
    if (text !== '') yield text;
  }
  const rest = decode();
  if (rest !== '') yield rest;
}
