import uPlot from 'uplot';
import { cellOf, isOnWire, isProtected } from '../../bridge/serve/reading-state.ts';
import type { PointBuffer } from '../app/point-buffer.ts';
import { axesIn } from './axis.ts';
import { type DrawnNull, drawExpected, drawNull, drawReading, type Layer, line } from './marks.ts';
import { type Palette, readPalette } from './palette.ts';
import { calmRange, type Range } from './window.ts';

export interface LengthPlotTexts {
  length: string;
  current: string;
}

export interface LengthPlotMarks {
  nulls: DrawnNull[];
  expected: { lengthCm: number; withinCm: number } | null;
  window: Range;
  /** Readings of this cell only; null for all. */
  cell: number | null;
  /** Readings from here on only: those before belong to earlier sets. */
  sinceS: number;
}

/**
 * Deflection against length. uPlot draws the axes, which seldom change; the readings lie on a layer above, where
 * a new one costs one small mark and not a new picture.
 */
export class LengthPlot {
  readonly #host: HTMLElement;
  readonly #points: PointBuffer;
  readonly #plot: uPlot;
  readonly #canvas = document.createElement('canvas');
  /** An element of its own: moving it costs no drawing. */
  readonly #jockey = document.createElement('div');
  /** Of the plotting area in CSS pixels; asking for it every time would cost a layout. */
  #size = { width: 0, height: 0 };
  readonly #unlisten: () => void;
  readonly #resize: ResizeObserver;
  #marks: LengthPlotMarks;
  #palette: Palette;
  #y: Range | null = null;
  #jockeyCm: number | null = null;

  constructor(host: HTMLElement, points: PointBuffer, texts: LengthPlotTexts, marks: LengthPlotMarks) {
    this.#host = host;
    this.#points = points;
    this.#marks = marks;
    this.#palette = readPalette(host);
    this.#y = this.#range();
    this.#plot = new uPlot(
      this.#options(texts),
      [
        [marks.window.min, marks.window.max],
        [null, null],
      ],
      host,
    );
    this.#canvas.className = 'plot-layer';
    this.#jockey.className = 'plot-jockey';
    this.#plot.over.append(this.#canvas, this.#jockey);
    this.#unlisten = points.listen((news) => this.#more(news));
    this.#resize = new ResizeObserver(() => this.#fit());
    this.#resize.observe(host);
    this.#fit();
  }

  setMarks(marks: LengthPlotMarks): void {
    const moved =
      marks.window.min !== this.#marks.window.min ||
      marks.window.max !== this.#marks.window.max ||
      marks.cell !== this.#marks.cell ||
      marks.sinceS !== this.#marks.sinceS;
    this.#marks = marks;
    if (moved) this.#rescale(null);
    else this.#drawAll();
  }

  setJockey(lengthCm: number | null, touching: boolean): void {
    this.#jockeyCm = lengthCm;
    this.#jockey.classList.toggle('touching', touching);
    this.#placeJockey();
  }

  #placeJockey(): void {
    const lengthCm = this.#jockeyCm;
    const { min, max } = this.#marks.window;
    const shown = lengthCm !== null && lengthCm >= min && lengthCm <= max;
    this.#jockey.classList.toggle('shown', shown);
    if (!shown) return;
    const x = ((lengthCm - min) / (max - min)) * this.#size.width;
    this.#jockey.style.transform = `translateX(${x.toFixed(1)}px)`;
  }

  destroy(): void {
    this.#unlisten();
    this.#resize.disconnect();
    this.#plot.destroy();
  }

  #options(texts: LengthPlotTexts): uPlot.Options {
    return {
      width: 300,
      height: 200,
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => [this.#marks.window.min, this.#marks.window.max] },
        y: { range: () => [this.#y?.min ?? -1, this.#y?.max ?? 1] },
      },
      axes: axesIn(this.#host, this.#palette, { across: texts.length, upright: texts.current }),
      series: [{}, { show: false }],
      hooks: { setSize: [(plot) => this.#sized(plot.over)] },
    };
  }

  #fit(): void {
    const { clientWidth: width, clientHeight: height } = this.#host;
    if (width < 50 || height < 50) return;
    this.#plot.setSize({ width, height });
  }

  /** uPlot lays itself out some time after it was told its size; only then the plotting area is known. */
  #sized(over: HTMLElement): void {
    this.#size = { width: over.clientWidth, height: over.clientHeight };
    this.#drawAll();
  }

  #layer(): Layer {
    const canvas = this.#canvas;
    const { width, height } = this.#size;
    const ratio = devicePixelRatio;
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio);
      canvas.height = Math.round(height * ratio);
      canvas.style.width = `${width}px`;
      canvas.style.height = `${height}px`;
    }
    const context = canvas.getContext('2d')!;
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    const { window } = this.#marks;
    const y = this.#y ?? { min: -1, max: 1 };
    return {
      context,
      width,
      height,
      x: (value) => ((value - window.min) / (window.max - window.min)) * width,
      y: (value) => height - ((value - y.min) / (y.max - y.min)) * height,
    };
  }

  #more(news: { from: number; anew: boolean }): void {
    const range = this.#range(news.anew ? 0 : news.from);
    if (news.anew || range !== this.#y) this.#rescale(news.anew ? null : this.#y);
    else this.#drawReadings(this.#layer(), news.from);
  }

  /** The currents to show: of the readings from number `from` on, within the window. */
  #range(from = 0): Range {
    const { min, max } = this.#marks.window;
    let most = 0;
    for (let index = from; index < this.#points.tS.length; index += 1) {
      const along = this.#points.along[index];
      if (along === null || along < min || along > max || !this.#shows(index)) continue;
      most = Math.max(most, Math.abs(this.#points.currentUa[index] ?? 0));
    }
    return calmRange(Math.max(most, from > 0 ? (this.#y?.max ?? 0) * 0.9 : 0), this.#y);
  }

  #rescale(present: Range | null): void {
    this.#y = present;
    this.#y = this.#range();
    this.#plot.setData([
      [this.#marks.window.min, this.#marks.window.max],
      [null, null],
    ]);
    this.#drawAll();
  }

  #shows(index: number): boolean {
    if (this.#points.tS[index] < this.#marks.sinceS) return false;
    const state = this.#points.state[index];
    return isOnWire(state) && (this.#marks.cell === null || cellOf(state) === this.#marks.cell);
  }

  #drawAll(): void {
    this.#placeJockey();
    const layer = this.#layer();
    const { context } = layer;
    context.clearRect(0, 0, layer.width, layer.height);
    const { expected, nulls } = this.#marks;
    if (expected !== null) drawExpected(layer, expected.lengthCm, expected.withinCm, this.#palette);
    context.strokeStyle = this.#palette.quiet;
    context.lineWidth = 1;
    line(context, 0, layer.y(0), layer.width, layer.y(0));
    this.#drawReadings(layer, 0);
    for (const found of nulls) drawNull(layer, found, this.#palette);
  }

  #drawReadings(layer: Layer, from: number): void {
    const { along, currentUa, state } = this.#points;
    layer.context.lineWidth = 1;
    layer.context.globalAlpha = 0.75;
    let drawnX = Number.NaN;
    let drawnY = Number.NaN;
    for (let index = from; index < along.length; index += 1) {
      const length = along[index];
      const current = currentUa[index];
      if (length === null || current === null || !this.#shows(index)) continue;
      const x = layer.x(length);
      const y = layer.y(current);
      // Readings that fall on the last one drawn would not be seen.
      if (Math.abs(x - drawnX) < 0.7 && Math.abs(y - drawnY) < 0.7) continue;
      drawnX = x;
      drawnY = y;
      const cell = cellOf(state[index]);
      const colour = this.#palette.cells[cell];
      layer.context.fillStyle = colour;
      layer.context.strokeStyle = colour;
      drawReading(layer, x, y, cell, isProtected(state[index]), 2.4);
    }
    layer.context.globalAlpha = 1;
  }
}
