import type uPlot from 'uplot';
import { fixed } from '../../bridge/calc-core/rounding.ts';
import type { Palette } from './palette.ts';

/**
 * The two axes of a plot in the font of its place, with room for it: a projector's letters are twice as high as a desk's. The labels
 * below begin under the lowest one beside.
 */
export function axesIn(
  host: HTMLElement,
  palette: Palette,
  labels: { across: string; upright: string },
): uPlot.Axis[] {
  const { font, fontSize } = getComputedStyle(host);
  const px = Number.parseFloat(fontSize);
  const axis = {
    stroke: palette.quiet,
    grid: { stroke: palette.line, width: 1 },
    ticks: { show: false },
    values: plainNumbers,
    font,
    labelFont: font,
    labelSize: 1.6 * px,
  };
  return [
    { ...axis, label: labels.across, size: 2 * px, space: 4.4 * px, gap: 0.6 * px },
    { ...axis, label: labels.upright, size: 4.3 * px, space: 2.2 * px },
  ];
}

const MOST_DECIMALS = 12;

/** Labels of an axis without the browser's own separators: as many decimals as its steps need, so a step of 0.25 has two. */
export function plainNumbers(_plot: unknown, splits: number[]): string[] {
  const step = splits.length > 1 ? Math.abs(splits[1] - splits[0]) : 1;
  let decimals = 0;
  while (decimals < MOST_DECIMALS && !isWhole(step * 10 ** decimals)) decimals += 1;
  return splits.map((split) => fixed(split, decimals));
}

const isWhole = (value: number): boolean => Math.abs(value - Math.round(value)) < 1e-6 * value;
