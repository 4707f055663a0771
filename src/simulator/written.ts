import type { WrittenValue } from './written-feed.ts';

/** From W, Wh, V, °C or % to a feed's unit, with the decimals that such a device would send. */
const UNITS: Readonly<Record<string, { from(value: number): number; decimals: number }>> = {
  W: { from: (w) => w, decimals: 1 },
  kW: { from: (w) => w / 1e3, decimals: 3 },
  mW: { from: (w) => w * 1e3, decimals: 0 },
  Wh: { from: (wh) => wh, decimals: 0 },
  kWh: { from: (wh) => wh / 1e3, decimals: 3 },
  mWh: { from: (wh) => wh * 1e3, decimals: 0 },
  Ws: { from: (wh) => wh * 3600, decimals: 0 },
  Wmin: { from: (wh) => wh * 60, decimals: 0 },
  V: { from: (v) => v, decimals: 1 },
  mV: { from: (v) => v * 1e3, decimals: 0 },
  C: { from: (c) => c, decimals: 2 },
  F: { from: (c) => c * 1.8 + 32, decimals: 1 },
  K: { from: (c) => c + 273.15, decimals: 2 },
  '%': { from: (p) => p, decimals: 1 },
  fraction: { from: (p) => p / 100, decimals: 3 },
};

/** As a device writes an amount, or that it is broken; undefined when it writes nothing. */
export function written(
  value: WrittenValue,
  amount: number | 'broken' | undefined,
  decimalComma: boolean,
): string | number | undefined {
  if (amount === undefined) return undefined;
  if (amount === 'broken') {
    const sentinel = value.sentinels?.[0];
    return decimalComma && sentinel !== undefined ? String(sentinel).replace('.', ',') : sentinel;
  }
  if (value.measure === 'presence') return (amount === 1 ? value.on : value.off)?.[0];
  const unit = UNITS[value.unit ?? ''];
  if (unit === undefined) return undefined;
  const signed = value.sign === 'reversed' ? -amount : amount;
  // Counters show whole steps that have passed, never one that is still to come.
  const steps = unit.from(signed) * 10 ** unit.decimals;
  const shown =
    (value.measure === 'counter' ? Math.floor(steps) : Math.round(steps)) / 10 ** unit.decimals;
  const { scale = 1, offset = 0 } = value;
  if (scale === 1 && offset === 0 && !decimalComma) return shown;
  const raw = (shown - offset) / scale;
  const text = raw.toFixed(decimalsOf(unit.decimals, scale, offset));
  return decimalComma ? text.replace('.', ',') : Number(text);
}

/** So many that scaling loses none of the unit's own decimals. */
function decimalsOf(decimals: number, scale: number, offset: number): number {
  if (scale === 1 && Number.isInteger(offset)) return decimals;
  const finer = Math.log10(Math.abs(scale));
  // A scale that is no power of ten, or an offset with decimals, needs a few more.
  return Math.min(20, Math.max(0, Math.ceil(finer) + decimals + 3));
}
