import type { Palette } from './palette.ts';

/** Drawing on the layer above a plot: every state has a shape of its own, not only a colour. */

export interface Layer {
  context: CanvasRenderingContext2D;
  /** Left and top of the layer in CSS pixels; what uPlot calls the plotting area. */
  x(value: number): number;
  y(value: number): number;
  width: number;
  height: number;
}

export interface DrawnNull {
  id: string;
  lengthCm: number;
  cell: number | null;
  used: boolean;
  fitLengthCm: readonly number[];
  fitCurrentUa: readonly number[];
  label: string;
  /** The large figure shows it: its label stands beside it. */
  isPresent: boolean;
}

/** One reading: cell 1 a disc, cell 2 a diamond, any other a cross; hollow while the protective resistance is in. */
export function drawReading(
  layer: Layer,
  x: number,
  y: number,
  cell: number,
  hollow: boolean,
  size: number,
): void {
  const { context } = layer;
  context.beginPath();
  if (cell === 1) context.arc(x, y, size, 0, 2 * Math.PI);
  else if (cell === 2) diamond(context, x, y, size * 1.35);
  else cross(context, x, y, size);
  if (hollow || cell === 0 || cell === 3) context.stroke();
  else context.fill();
}

function diamond(context: CanvasRenderingContext2D, x: number, y: number, size: number): void {
  context.moveTo(x, y - size);
  context.lineTo(x + size, y);
  context.lineTo(x, y + size);
  context.lineTo(x - size, y);
  context.closePath();
}

function cross(context: CanvasRenderingContext2D, x: number, y: number, size: number): void {
  context.moveTo(x - size, y - size);
  context.lineTo(x + size, y + size);
  context.moveTo(x + size, y - size);
  context.lineTo(x - size, y + size);
}

/** A null: its fitted line, a post at its length, and its label; a null that is not used is dashed. */
export function drawNull(layer: Layer, found: DrawnNull, palette: Palette): void {
  const { context } = layer;
  const x = layer.x(found.lengthCm);
  if (x < -20 || x > layer.width + 20) return;
  context.save();
  context.strokeStyle = palette.fit;
  context.lineWidth = 2;
  if (!found.used) context.setLineDash([4, 4]);
  polyline(layer, found.fitLengthCm, found.fitCurrentUa);
  context.strokeStyle = palette.cells[found.cell ?? 0];
  context.lineWidth = 1.5;
  line(context, x, 0, x, layer.height);
  context.restore();
  if (found.isPresent) drawFlag(layer, x, found.label, palette);
}

function drawFlag({ context, ...layer }: Layer, x: number, label: string, palette: Palette): void {
  context.font = palette.font;
  const { width, fontBoundingBoxAscent: above, fontBoundingBoxDescent: below } = context.measureText(label);
  const left = Math.min(layer.width - width - 10, Math.max(0, x + 4));
  context.fillStyle = palette.surface;
  context.fillRect(left, 4, width + 10, above + below + 4);
  context.fillStyle = palette.ink;
  context.fillText(label, left + 5, above + 6);
}

function polyline(layer: Layer, xs: readonly number[], ys: readonly number[]): void {
  const { context } = layer;
  context.beginPath();
  for (let index = 0; index < xs.length; index += 1) context.lineTo(layer.x(xs[index]), layer.y(ys[index]));
  context.stroke();
}

export function line(
  context: CanvasRenderingContext2D,
  x1: number,
  y1: number,
  x2: number,
  y2: number,
): void {
  context.beginPath();
  context.moveTo(x1, y1);
  context.lineTo(x2, y2);
  context.stroke();
}

/** Where the null is expected: a band, and its middle dotted. */
export function drawExpected(layer: Layer, lengthCm: number, withinCm: number, palette: Palette): void {
  const { context } = layer;
  const from = layer.x(lengthCm - withinCm);
  const to = layer.x(lengthCm + withinCm);
  context.save();
  context.fillStyle = palette.fit;
  context.globalAlpha = 0.12;
  context.fillRect(from, 0, Math.max(2, to - from), layer.height);
  context.restore();
}
