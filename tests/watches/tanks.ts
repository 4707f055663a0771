/** A hundred liters in glass under a lid, in the invented den. */
export const glassTank = {
  room: 'den',
  housing: 'aquarium',
  walls: 'glass',
  lid: true,
  volume_l: 100,
  keep_c: { min: 24, max: 27 },
} as const;
