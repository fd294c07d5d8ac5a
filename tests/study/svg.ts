/** The little of SVG that the study's plots need. Units are pixels; colours are safe for colour-blind readers (Okabe and Ito). */

export const COLOURS = ['#0072b2', '#d55e00', '#009e73', '#cc79a7'] as const;
/** Dashes tell lines apart without their colour. */
export const DASHES = ['', '6 3', '2 3', '8 3 2 3'] as const;

export interface Frame {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  x: [number, number];
  y: [number, number];
}

export const FRAME = { width: 640, height: 360, left: 64, right: 16, top: 16, bottom: 48 };

export const across = (frame: Frame, x: number): number =>
  frame.left + ((x - frame.x[0]) / (frame.x[1] - frame.x[0])) * (frame.width - frame.left - frame.right);

export const down = (frame: Frame, y: number): number =>
  frame.height -
  frame.bottom -
  ((y - frame.y[0]) / (frame.y[1] - frame.y[0])) * (frame.height - frame.top - frame.bottom);

const fixed = (value: number): string => value.toFixed(1);

export function polyline(
  frame: Frame,
  points: readonly (readonly [number, number])[],
  colour: string,
  dash = '',
): string {
  const path = points.map(([x, y]) => `${fixed(across(frame, x))},${fixed(down(frame, y))}`).join(' ');
  return `<polyline points="${path}" fill="none" stroke="${colour}" stroke-width="1.6"${dash === '' ? '' : ` stroke-dasharray="${dash}"`}/>`;
}

export const dot = (frame: Frame, x: number, y: number, colour: string, radius = 2): string =>
  `<circle cx="${fixed(across(frame, x))}" cy="${fixed(down(frame, y))}" r="${radius}" fill="${colour}"/>`;

export const text = (x: number, y: number, words: string, attributes = ''): string =>
  `<text x="${fixed(x)}" y="${fixed(y)}" font-family="sans-serif" font-size="12" fill="#222" ${attributes}>${words}</text>`;

export interface Axes {
  xTicks: number[];
  yTicks: number[];
  xTitle: string;
  yTitle: string;
}

export function axes(frame: Frame, { xTicks, yTicks, xTitle, yTitle }: Axes): string {
  const bottom = frame.height - frame.bottom;
  const right = frame.width - frame.right;
  return [
    `<rect x="${frame.left}" y="${frame.top}" width="${right - frame.left}" height="${bottom - frame.top}" fill="none" stroke="#888"/>`,
    ...xTicks.map((tick) => text(across(frame, tick), bottom + 16, `${tick}`, 'text-anchor="middle"')),
    ...yTicks.map((tick) => text(frame.left - 6, down(frame, tick) + 4, `${tick}`, 'text-anchor="end"')),
    text((frame.left + right) / 2, frame.height - 10, xTitle, 'text-anchor="middle"'),
    text(
      14,
      (frame.top + bottom) / 2,
      yTitle,
      `text-anchor="middle" transform="rotate(-90 14 ${fixed((frame.top + bottom) / 2)})"`,
    ),
  ].join('\n');
}

export const document = (frame: Frame, title: string, parts: readonly string[]): string =>
  [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${frame.width} ${frame.height}" role="img" aria-label="${title}">`,
    `<title>${title}</title>`,
    `<rect width="${frame.width}" height="${frame.height}" fill="#fff"/>`,
    ...parts,
    '</svg>',
    '',
  ].join('\n');
