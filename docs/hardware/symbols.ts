/** Symbols of a circuit diagram, put on a sheet one by one. Coordinates in pixels, y downwards. */

type Point = readonly [number, number];

export interface Sheet {
  /** Wires as SVG path data, many to a text. */
  wires(...paths: string[]): void;
  /** Where wires are joined; wires that cross without one are not. */
  dots(...points: Point[]): void;
  /** A path of SVG with attributes of its own, for what has no symbol. */
  path(d: string, attributes: string): void;
  circle(x: number, y: number, r: number, fill: string): void;
  /** A box with words in it. */
  box(x: number, y: number, width: number, height: number, words: string): void;
  text(x: number, y: number, words: string, anchor?: Anchor, size?: number): void;
  /** Lying, its middle at (x, y). */
  resistor(x: number, y: number, name: string, options?: { width?: number; below?: boolean }): void;
  /** Standing. */
  resistorUp(x: number, y: number, name: string, options?: { height?: number; left?: boolean }): void;
  /** In a lying wire; `capacitorUp` in a standing one. */
  capacitor(x: number, y: number): void;
  capacitorUp(x: number, y: number, name: string): void;
  ground(x: number, y: number): void;
  /** Left edge at x, 60 wide and high about y. */
  amplifier(x: number, y: number, name: string, plusOnTop?: boolean): void;
  /** The long plate, which is positive, on the left. */
  cell(x: number, y: number, name: string): void;
  pin(x: number, y: number, name: string): void;
}

type Anchor = 'start' | 'middle' | 'end';

const INK = '#333333';
const PAPER = '#ffffff';
const TINT = '#f4f6f8';

const svg = (width: number, height: number, label: string, shapes: string[], texts: string[]): string =>
  [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" font-family="sans-serif" role="img" aria-label="${label}">`,
    `<rect width="${width}" height="${height}" fill="${PAPER}"/>`,
    `<g fill="none" stroke="${INK}" stroke-width="1.5">`,
    ...shapes,
    '</g>',
    '<g fill="#111111">',
    ...texts,
    '</g>',
    '</svg>',
    '',
  ].join('\n');

/** Draws on an empty sheet; answers with the SVG. */
export function drawSheet(
  width: number,
  height: number,
  label: string,
  draw: (sheet: Sheet) => void,
): string {
  const shapes: string[] = [];
  const dots: string[] = [];
  const texts: string[] = [];
  draw(sheetOn(shapes, dots, texts));
  return svg(width, height, label, [...shapes, ...dots], texts);
}

function sheetOn(shapes: string[], dots: string[], texts: string[]): Sheet {
  const path: Sheet['path'] = (d, attributes) => {
    shapes.push(`<path d="${d}" ${attributes}/>`);
  };
  const circle: Sheet['circle'] = (x, y, r, fill) => {
    shapes.push(`<circle cx="${x}" cy="${y}" r="${r}" fill="${fill}"/>`);
  };
  const text: Sheet['text'] = (x, y, words, anchor = 'middle', size = 13) => {
    texts.push(`<text x="${x}" y="${y}" text-anchor="${anchor}" font-size="${size}">${words}</text>`);
  };
  const rect = (x: number, y: number, width: number, height: number, attributes = ''): void => {
    shapes.push(`<rect x="${x}" y="${y}" width="${width}" height="${height}" fill="${PAPER}"${attributes}/>`);
  };
  /** Blanks the wire between the plates. */
  const gap = (x: number, y: number, width: number, height: number): void =>
    rect(x - width / 2, y - height / 2, width, height, ' stroke="none"');
  return {
    path,
    circle,
    text,
    wires(...paths) {
      for (const d of paths) shapes.push(`<path d="${d}"/>`);
    },
    dots(...points) {
      for (const [x, y] of points) dots.push(`<circle cx="${x}" cy="${y}" r="3" fill="${INK}"/>`);
    },
    box(x, y, width, height, words) {
      shapes.push(`<rect x="${x}" y="${y}" width="${width}" height="${height}" fill="${TINT}"/>`);
      text(x + width / 2, y + height / 2 + 5, words);
    },
    resistor(x, y, name, { width = 44, below = false } = {}) {
      rect(x - width / 2, y - 8, width, 16);
      if (name !== '') text(x, below ? y + 24 : y - 13, name);
    },
    resistorUp(x, y, name, { height = 44, left = false } = {}) {
      rect(x - 8, y - height / 2, 16, height);
      if (name !== '') text(left ? x - 14 : x + 14, y + 5, name, left ? 'end' : 'start');
    },
    capacitor(x, y) {
      path(`M${x - 4} ${y - 11}V${y + 11}M${x + 4} ${y - 11}V${y + 11}`, 'stroke-width="2.2"');
      gap(x, y, 6, 4);
    },
    capacitorUp(x, y, name) {
      gap(x, y, 6, 8);
      path(`M${x - 11} ${y - 4}H${x + 11}M${x - 11} ${y + 4}H${x + 11}`, 'stroke-width="2.2"');
      text(x + 15, y + 5, name, 'start');
    },
    ground(x, y) {
      shapes.push(`<path d="M${x} ${y}v8m-10 0h20m-16 4h12m-9 4h6"/>`);
    },
    amplifier(x, y, name, plusOnTop = false) {
      path(`M${x} ${y - 30}L${x + 60} ${y}L${x} ${y + 30}Z`, `fill="${TINT}"`);
      text(x + 10, y - 10, plusOnTop ? '+' : '−');
      text(x + 10, y + 20, plusOnTop ? '−' : '+');
      text(x + 25, y + 5, name);
    },
    cell(x, y, name) {
      path(`M${x - 4} ${y - 14}V${y + 14}`, 'stroke-width="1.8"');
      path(`M${x + 4} ${y - 7}V${y + 7}`, 'stroke-width="3.5"');
      if (name !== '') text(x, y - 19, name);
    },
    pin(x, y, name) {
      circle(x, y, 4, PAPER);
      text(x + 9, y + 5, name, 'start');
    },
  };
}
