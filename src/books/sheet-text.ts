import { type ProductSum, productText, readProduct } from './products.ts';
import type { DaySheets, Sheet, SheetLine } from './sheets.ts';

/** Goes into the key of kept sheets: those of another form are drawn anew. */
export const SHEET_FORM = 1;

/** rates: keys, null for none; then device, covered ms, drawing ms and lines, one after the other. */
interface Kept {
  readonly rates: readonly (string | null)[];
  readonly sheets: readonly (readonly [string, number, number, ...KeptLine[]])[];
}

/** Place of the rate, energy by how it is known, spread, divided, then products where there are. */
type KeptLine = readonly [number, ...(number | string)[]];

const FIXED = 7;

/** Sheets as a short text that `readSheets` reads. */
export function sheetsText(sheets: DaySheets): string {
  const rates: (string | null)[] = [];
  const placeOf = (rate: string | undefined): number => {
    const known = rates.indexOf(rate ?? null);
    return known < 0 ? rates.push(rate ?? null) - 1 : known;
  };
  const kept = [...sheets].map(([device, { covered, drawing, lines }]) => [
    device,
    covered,
    drawing,
    ...lines.map(({ rate, energy, spread, divided, products }) => [
      placeOf(rate),
      ...energy,
      spread,
      divided,
      ...(products ?? []).map(productText),
    ]),
  ]);
  return JSON.stringify({ rates, sheets: kept });
}

export function readSheets(text: string): DaySheets {
  const { rates, sheets } = JSON.parse(text) as Kept;
  const read: DaySheets = new Map();
  for (const [device, covered, drawing, ...lines] of sheets) {
    const sheet: Sheet = { lines: [], line: undefined, covered, drawing };
    for (const line of lines) sheet.lines.push(lineOf(line, rates));
    read.set(device, sheet);
  }
  return read;
}

function lineOf(kept: KeptLine, rates: Kept['rates']): SheetLine {
  const [place, counted, integrated, bridged, reckoned, spread, divided] =
    kept as readonly number[];
  const products: readonly ProductSum[] | undefined =
    kept.length > FIXED ? kept.slice(FIXED).map(readProduct) : undefined;
  return {
    rate: rates[place as number] ?? undefined,
    energy: [counted, integrated, bridged, reckoned] as number[],
    spread: spread as number,
    divided: divided as number,
    products,
  };
}
