import type { Known, Posting } from '../../src/metering/index.ts';

export interface Sum {
  energy: number;
  spread: number;
  covered: number;
  drawing: number;
}

const zero = (): Sum => ({ energy: 0, spread: 0, covered: 0, drawing: 0 });

/** Adds postings up as the books do: one sum per slot and way of knowing. */
export class Ledger {
  readonly sums = new Map<string, Sum & { slot: number; known: Known }>();

  constructor(other?: Ledger) {
    for (const [key, sum] of other?.sums ?? []) this.sums.set(key, { ...sum });
  }

  post(postings: readonly Posting[]): void {
    for (const { slot, known, energy, spread, covered, drawing } of postings) {
      const key = `${slot} ${known}`;
      const sum = this.sums.get(key) ?? { slot, known, ...zero() };
      sum.energy += energy;
      sum.spread += spread;
      sum.covered += covered;
      sum.drawing += drawing;
      this.sums.set(key, sum);
    }
  }

  /** The sum over some ways of knowing, in one slot or in all. */
  total(known: readonly Known[], slot?: number): Sum {
    const total = zero();
    for (const sum of this.sums.values()) {
      if (!known.includes(sum.known) || (slot !== undefined && sum.slot !== slot)) continue;
      total.energy += sum.energy;
      total.spread += sum.spread;
      total.covered += sum.covered;
      total.drawing += sum.drawing;
    }
    return total;
  }

  /** What no history may lead to, in words; empty when all is well. Signed: energy may flow back. */
  faults({ signed = false } = {}): string[] {
    const faults: string[] = [];
    const covered = new Map<number, number>();
    for (const sum of this.sums.values()) {
      const where = `${new Date(sum.slot).toISOString()} ${sum.known}`;
      for (const [field, value] of Object.entries(sum)) {
        if (field === 'known') continue;
        if (!Number.isInteger(value)) faults.push(`${where}: ${field} ${value} is not whole`);
        if (Object.is(value, -0)) faults.push(`${where}: ${field} is minus zero`);
      }
      if (sum.energy < 0 && !signed) faults.push(`${where}: energy ${sum.energy} mWh`);
      if (sum.covered < 0) faults.push(`${where}: covered ${sum.covered} ms`);
      if (!signed && (sum.spread < 0 || sum.spread > sum.energy))
        faults.push(`${where}: spread ${sum.spread}`);
      if (sum.drawing < 0 || sum.drawing > sum.covered) {
        faults.push(`${where}: drawing ${sum.drawing} of ${sum.covered} ms`);
      }
      covered.set(sum.slot, (covered.get(sum.slot) ?? 0) + sum.covered);
    }
    for (const [slot, ms] of covered) {
      if (ms > 900_000) faults.push(`${new Date(slot).toISOString()}: ${ms} ms covered`);
    }
    return faults;
  }
}
