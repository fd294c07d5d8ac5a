/**
 * Contrast of two colours, 1 to 21, as WCAG 2.2 defines it (W3C: relative luminance, contrast ratio). Colours are written as
 * `#rrggbb` or `rgb(r, g, b)`.
 */
export function contrastOf(one: string, other: string): number {
  const [dark, light] = [luminanceOf(one), luminanceOf(other)].sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

function luminanceOf(colour: string): number {
  const [red, green, blue] = channelsOf(colour).map((value) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function channelsOf(colour: string): number[] {
  if (/^#[0-9a-f]{6}$/.test(colour))
    return [1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16));
  const written = /^rgb\((\d+), (\d+), (\d+)\)$/.exec(colour);
  if (written === null) throw new Error(`not a colour that can be read: ${colour}`);
  return written.slice(1).map(Number);
}
