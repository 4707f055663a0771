/**
 * Contrast ratio of two opaque CSS colors 'rgb(r, g, b)', 1–21.
 * Source: WCAG 2.2, definitions of 'relative luminance' and 'contrast ratio'.
 */
export function contrast(one: string, other: string): number {
  const [darker = 0, lighter = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (lighter + 0.05) / (darker + 0.05);
}

function luminance(color: string): number {
  const channels = /^rgb\((\d+), (\d+), (\d+)\)$/.exec(color);
  if (channels === null) throw new Error(`not an opaque color: ${color}`);
  const [red = 0, green = 0, blue = 0] = channels.slice(1).map((channel) => {
    const part = Number(channel) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}
