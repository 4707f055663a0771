import type { Database } from 'better-sqlite3';
import type { SlotPrice } from '../tariff/index.ts';
import type { Instant, MicroPerKwh, Span } from '../units/index.ts';
import { finest } from './finest.ts';
import { isSpan, requireRecord, type Taken } from './records.ts';
import type { SupersededTable } from './superseded.ts';
import { timelinesIn } from './timelines.ts';

export interface SlotPriceTable {
  /**
   * Keeps prices by series and span, in any order and however often they come. A price that changes
   * leaves the former one in `superseded`.
   *
   * @returns what became of them, and the spans whose price may be another now
   */
  add(prices: readonly SlotPrice[], at: Instant): { taken: Taken; touched: readonly Span[] };
  /**
   * Pieces that touch the span, by time, without overlap. Prices of other spans may lie over each
   * other, as an hour and its quarters do: the shortest holds, whichever came first, and of two
   * equally long ones the later one.
   */
  read(series: string, span: Span): SlotPrice[];
}

function requirePrice(price: SlotPrice): void {
  const fits = price.series !== '' && isSpan(price) && Number.isSafeInteger(price.price);
  requireRecord(fits, 'a slot price', price);
}

type Row = [from: number, to: number, price: number];

export function slotPricesIn(db: Database, superseded: SupersededTable): SlotPriceTable {
  const series = timelinesIn(db, 'price_series');
  const selectOne = db
    .prepare<[number, number, number], number>(`
      SELECT price_micro_per_kwh FROM slot_prices
      WHERE series_ref = ? AND from_ms = ? AND to_ms = ?`)
    .pluck();
  const insert = db.prepare<[number, number, number, number]>(
    'INSERT INTO slot_prices VALUES (?, ?, ?, ?)',
  );
  const update = db.prepare<[number, number, number, number]>(`
    UPDATE slot_prices SET price_micro_per_kwh = ?
    WHERE series_ref = ? AND from_ms = ? AND to_ms = ?`);
  const select = db
    .prepare<[number, number, number, number], Row>(`
      SELECT from_ms, to_ms, price_micro_per_kwh FROM slot_prices
      WHERE series_ref = ? AND from_ms > ? AND from_ms < ? AND to_ms > ?
      ORDER BY from_ms, to_ms`)
    .raw();

  return {
    add(prices, at) {
      for (const price of prices) requirePrice(price);
      const refs = series.refs(prices, (price) => price.series);
      const touched: Span[] = [];
      let changed = 0;
      for (const { series: id, from, to, price } of prices) {
        const ref = refs.get(id) as number;
        const former = selectOne.get(ref, from, to);
        if (former === price) continue;
        touched.push({ from, to });
        if (former === undefined) {
          insert.run(ref, from, to, price);
          continue;
        }
        changed += 1;
        update.run(price, ref, from, to);
        superseded.add({
          what: 'slot-price',
          id,
          span: { from, to },
          former: { price_micro_per_kwh: former },
          at,
        });
      }
      const added = touched.length - changed;
      return { taken: { added, changed, same: prices.length - touched.length }, touched };
    },

    read(id, span) {
      const known = series.find(id);
      if (known === undefined) return [];
      const { ref, longest } = known;
      // What lies over a price that touches the span may not touch the span itself.
      const from = span.from - longest;
      const to = span.to + longest;
      const rows = select.all(ref, from - longest, to, from);
      return finest(rows.map(([from, to, price]) => ({ from, to, price })))
        .filter((piece) => piece.to > span.from && piece.from < span.to)
        .map((piece) => ({
          series: id,
          from: piece.from as Instant,
          to: piece.to as Instant,
          price: piece.price as MicroPerKwh,
        }));
    },
  };
}
