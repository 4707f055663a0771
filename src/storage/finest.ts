interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * Cuts stretches that lie over each other so that none do: each point belongs to the shortest one
 * that holds it, among equally long ones to the one that begins later.
 *
 * @param stretches by `from`
 * @returns the pieces by `from`
 */
export function finest<T extends Stretch>(stretches: readonly T[]): T[] {
  const tangles: T[][] = [];
  let end = Number.NEGATIVE_INFINITY;
  for (const stretch of stretches) {
    if (stretch.from >= end) tangles.push([]);
    tangles.at(-1)?.push(stretch);
    end = Math.max(end, stretch.to);
  }
  return tangles.flatMap(untangled);
}

function untangled<T extends Stretch>(tangle: readonly T[]): readonly T[] {
  if (tangle.length < 2) return tangle;
  const bounds = [...new Set(tangle.flatMap(({ from, to }) => [from, to]))].sort((a, b) => a - b);
  const places = new Map(bounds.map((bound, place) => [bound, place]));
  // Painted from the coarsest to the finest: what is seen at the end is what holds.
  const holders: (T | undefined)[] = bounds.map(() => undefined);
  const coarsestFirst = tangle.toSorted(
    (a, b) => b.to - b.from - (a.to - a.from) || a.from - b.from,
  );
  for (const stretch of coarsestFirst) {
    holders.fill(stretch, places.get(stretch.from), places.get(stretch.to));
  }
  const pieces: T[] = [];
  for (const [place, holder] of holders.entries()) {
    const last = pieces.at(-1);
    if (holder === undefined) continue;
    const from = bounds[place] as number;
    const to = bounds[place + 1] as number;
    const goesOn = place > 0 && holders[place - 1] === holder && last !== undefined;
    if (goesOn) pieces[pieces.length - 1] = { ...last, to };
    else pieces.push({ ...holder, from, to });
  }
  return pieces;
}
