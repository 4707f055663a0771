/** One row of the measurements: two sides that are measured in turn in the same run. */
export interface Benchmark {
  readonly name: string;
  readonly unit: string;
  /** How the unit is written, such as with decimals. */
  readonly decimals: number;
  readonly reach: { readonly atLeast: number } | { readonly atMost: number };
  prepare(size: Size): Promise<Sides>;
}

/** How much is done: 'full' for a measurement, 'quick' to see that everything works. */
export type Size = 'full' | 'quick';

export interface Sides {
  /** What else the reader should know about this run. */
  readonly remark?: string;
  ours(): Promise<number>;
  reference(): Promise<number>;
  close(): void;
}

export interface Outcome {
  readonly ours: readonly number[];
  readonly reference: readonly number[];
}

/** Measures both sides in turn, so that a busy machine disturbs both alike. */
export async function measure(
  benchmark: Benchmark,
  size: Size,
  runs: number,
): Promise<Outcome & { remark: string | undefined }> {
  const sides = await benchmark.prepare(size);
  const ours: number[] = [];
  const reference: number[] = [];
  try {
    for (let run = 0; run < runs; run += 1) {
      ours.push(await sides.ours());
      reference.push(await sides.reference());
    }
  } finally {
    sides.close();
  }
  return { ours, reference, remark: sides.remark };
}

/** The line of a benchmark, medians of all its runs. */
export function lineOf(benchmark: Benchmark, { ours, reference }: Outcome): string {
  const { name, unit, decimals, reach } = benchmark;
  const ratio = median(ours) / median(reference);
  const reached = 'atLeast' in reach ? ratio >= reach.atLeast : ratio <= reach.atMost;
  const wanted = 'atLeast' in reach ? `≥ ${reach.atLeast}` : `≤ ${reach.atMost}`;
  const shown = (values: readonly number[]): string =>
    `${median(values).toFixed(decimals)} ${unit}`;
  return `${name}: ours ${shown(ours)}, reference ${shown(reference)}, ratio ${ratio.toFixed(2)} (reach ${wanted}${reached ? '' : ', missed'})`;
}

/** All single runs, so that the reader sees how steady the machine was. */
export function runsOf({ decimals }: Benchmark, { ours, reference }: Outcome): string {
  const list = (values: readonly number[]): string =>
    values.map((value) => value.toFixed(decimals)).join(' ');
  return `  single runs: ours ${list(ours)}; reference ${list(reference)}`;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const low = sorted[(sorted.length - 1) >> 1] ?? Number.NaN;
  const high = sorted[sorted.length >> 1] ?? Number.NaN;
  return (low + high) / 2;
}
