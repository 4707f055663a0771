/** What of a tank's configuration decides how it loses heat. */
export interface TankShape {
  readonly housing: 'aquarium' | 'vivarium' | 'terrarium' | 'pond' | 'rack-bay';
  readonly volume_l?: number | undefined;
  readonly dimensions_cm?:
    | { readonly length: number; readonly width: number; readonly height: number }
    | undefined;
  readonly walls: 'glass' | 'acrylic' | 'insulated';
  readonly lid: boolean;
}

/** Outer measures in m, areas in m², water in litres. */
export interface TankBox {
  readonly height: number;
  readonly sides: number;
  readonly bottom: number;
  readonly top: number;
  readonly waterL: number;
}

/** A box filled by the usual hand's breadth below its rim. Common practice, no source. */
const FILLED = 0.9;

/**
 * The box that a tank is reckoned as. Where only the volume is told, a box twice as long as wide
 * and high (common practice, no source). Undefined where neither is told, or where a terrarium
 * does not say how much water it holds: its thermal mass cannot be guessed.
 */
export function boxOf(shape: TankShape): TankBox | undefined {
  const told = shape.dimensions_cm;
  const holdsWater = shape.housing !== 'terrarium' && shape.housing !== 'vivarium';
  if (!holdsWater && shape.volume_l === undefined) return undefined;
  if (told !== undefined) {
    const length = told.length / 100;
    const width = told.width / 100;
    const height = told.height / 100;
    return {
      height,
      sides: 2 * (length + width) * height,
      bottom: length * width,
      top: length * width,
      waterL: shape.volume_l ?? length * width * height * 1000 * FILLED,
    };
  }
  if (shape.volume_l === undefined) return undefined;
  const edge = Math.cbrt(shape.volume_l / 1000 / FILLED / 2);
  const foot = 2 * edge * edge;
  return { height: edge, sides: 6 * edge * edge, bottom: foot, top: foot, waterL: shape.volume_l };
}
