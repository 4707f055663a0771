import { FileRefused, quoted } from '../refused.ts';

/** Where the columns of a table stand, by what they hold. */
export type Columns<K extends string> = { readonly [key in K]: number | undefined };

/** A column's name in the header, without regard to letter case. */
const normal = (name: string): string => name.trim().toLowerCase();

/**
 * Finds columns by their names.
 * @param names what a column holds → its name in the header; undefined where none is wanted
 * @param needed the keys without which nothing can be read
 * @throws FileRefused AMP_CSV_HEADER when a needed one is missing, or one stands there twice.
 */
export function findColumns<K extends string>(
  header: readonly string[],
  line: number,
  names: { readonly [key in K]: string | undefined },
  needed: readonly K[],
): Columns<K> {
  const refuse = (message: string): never => refuseHeader(line, header, message);
  const found = header.map(normal);
  const keys = Object.keys(names) as K[];
  const columns = keys.map((key): [K, number | undefined] => {
    const name = names[key];
    const at = name === undefined ? -1 : found.indexOf(normal(name));
    if (at >= 0 && found.lastIndexOf(found[at] ?? '') !== at) refuse(`two columns are '${name}'`);
    if (at < 0 && needed.includes(key)) refuse(`no column is '${name}'`);
    return [key, at < 0 ? undefined : at];
  });
  return Object.fromEntries(columns) as Columns<K>;
}

/** The columns that nobody reads, as a warning. */
export function unreadColumns<K extends string>(
  header: readonly string[],
  columns: Columns<K>,
): string[] {
  const read = new Set<unknown>(Object.values(columns));
  const unread = header.filter((name, index) => !read.has(index) && name !== '').map(quoted);
  return unread.length === 0 ? [] : [`columns that were not read: ${unread.join(', ')}`];
}

export function refuseHeader(line: number, header: readonly string[], message: string): never {
  throw new FileRefused({
    code: 'AMP_CSV_HEADER',
    line,
    message: `${message}; the header is ${quoted(header.join(' | '))}`,
    remedy: 'name the columns as documented, or say which columns to read',
  });
}
