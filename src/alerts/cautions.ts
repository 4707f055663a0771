/** The usual cautions where mains, water and animals meet. Common practice; local codes go first. */
export const CAUTIONS = {
  unplugFirst:
    'Unplug everything in the tank before hands go into the water; do not trust a switch.',
  wetSocket:
    'If water has reached a plug or socket, do not touch it: cut the power at the breaker.',
  levelDrop: 'Heater off and cooled before the water level drops.',
  hotHeater: 'Never put a hot heater back into water.',
  residualCurrent: 'Every circuit near water needs an RCD/GFCI.',
  tripping: 'If an RCD/GFCI trips again, leave it off and find out why; do not keep resetting it.',
  dripLoop: 'Let every cord hang in a drip loop below its socket.',
  portableHeater: 'Do not leave a portable room heater unattended or run it from a power strip.',
  electrician: 'Fixed wiring is for a licensed electrician; local codes go first.',
} as const;

export type Caution = keyof typeof CAUTIONS;

/** In the order above, each once. */
export const cautionLines = (wanted: Iterable<Caution>): string[] => {
  const set = new Set(wanted);
  return (Object.keys(CAUTIONS) as Caution[])
    .filter((name) => set.has(name))
    .map((name) => CAUTIONS[name]);
};
