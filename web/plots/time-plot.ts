import uPlot from 'uplot';
import type { PointBuffer } from '../app/point-buffer.ts';
import { axesIn } from './axis.ts';
import { readPalette } from './palette.ts';
import { calmRange, type Range } from './window.ts';

const WINDOW_S = 30;

/** Deflection against time: the last half minute. */
export class TimePlot {
  readonly #host: HTMLElement;
  readonly #points: PointBuffer;
  readonly #plot: uPlot;
  readonly #unlisten: () => void;
  readonly #resize: ResizeObserver;
  #y: Range | null = null;

  constructor(host: HTMLElement, points: PointBuffer, texts: { time: string; current: string }) {
    this.#host = host;
    this.#points = points;
    this.#plot = new uPlot(this.#options(texts), [[], []], host);
    this.#unlisten = points.listen(() => this.#draw());
    this.#resize = new ResizeObserver(() => this.#fit());
    this.#resize.observe(host);
    this.#fit();
    this.#draw();
  }

  destroy(): void {
    this.#unlisten();
    this.#resize.disconnect();
    this.#plot.destroy();
  }

  #options(texts: { time: string; current: string }): uPlot.Options {
    const palette = readPalette(this.#host);
    return {
      width: 300,
      height: 160,
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => this.#window() },
        y: { range: () => [this.#y?.min ?? -1, this.#y?.max ?? 1] },
      },
      axes: axesIn(this.#host, palette, { across: texts.time, upright: texts.current }),
      series: [{}, { stroke: palette.ink, width: 1.25, points: { show: false }, spanGaps: false }],
    };
  }

  #window(): [number, number] {
    const last = this.#points.tS.at(-1) ?? 0;
    return [Math.max(0, last - WINDOW_S), Math.max(WINDOW_S, last)];
  }

  #fit(): void {
    const { clientWidth: width, clientHeight: height } = this.#host;
    if (width >= 50 && height >= 50) this.#plot.setSize({ width, height });
  }

  #draw(): void {
    const { tS, currentUa } = this.#points;
    const from = firstAfter(tS, this.#window()[0]);
    const currents = currentUa.slice(from);
    let most = 0;
    for (const current of currents) most = Math.max(most, Math.abs(current ?? 0));
    this.#y = calmRange(most, this.#y);
    this.#plot.setData([tS.slice(from), currents]);
  }
}

/** Index of the first value that is not below `bound`, in values that rise. */
function firstAfter(values: readonly number[], bound: number): number {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] < bound) low = middle + 1;
    else high = middle;
  }
  return low;
}
