import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { examplePlot } from './example-plot.ts';
import type { NullSummary } from './null-summary.ts';
import { across, axes, COLOURS, DASHES, document, down, FRAME, type Frame, polyline, text } from './svg.ts';

/** Plots of docs/method.md, made from a study's own numbers. */

const FOLDER = fileURLToPath(new URL('../../docs/method/', import.meta.url));

export function writePlots(folder: string, summaries: readonly NullSummary[]): void {
  mkdirSync(folder, { recursive: true });
  const plots = {
    'errors.svg': errorsPlot(summaries),
    'coverage.svg': coveragePlot(summaries),
    'pass.svg': examplePlot(),
  };
  for (const [name, svg] of Object.entries(plots)) writeFileSync(`${folder}/${name}`, svg);
}

export const methodFolder = (root: string): string => (root === '' ? FOLDER : `${root}/docs/method`);

const legend = (index: number, name: string): string =>
  [
    `<line x1="84" x2="114" y1="${30 + 18 * index}" y2="${30 + 18 * index}" stroke="${COLOURS[index]}" stroke-width="2" stroke-dasharray="${DASHES[index]}"/>`,
    text(120, 34 + 18 * index, name),
  ].join('\n');

/** Share of runs whose error is below so many times the bound, beside what an estimator at the bound would show. */
function errorsPlot(summaries: readonly NullSummary[]): string {
  const frame: Frame = { ...FRAME, x: [0, 4], y: [0, 1] };
  const lines = summaries.map(({ errorsOverBound }, index) => {
    const sizes = errorsOverBound.map(Math.abs).sort((a, b) => a - b);
    const points = sizes.map((size, at): [number, number] => [Math.min(4, size), (at + 1) / sizes.length]);
    return polyline(frame, thinned(points), COLOURS[index], DASHES[index]);
  });
  const ideal = Array.from({ length: 81 }, (_, at): [number, number] => [at / 20, withinSigmas(at / 20)]);
  return document(frame, 'Errors of nulls over their Cramer-Rao bound', [
    axes(frame, {
      xTicks: [0, 1, 2, 3, 4],
      yTicks: [0, 0.25, 0.5, 0.75, 1],
      xTitle: 'size of the error over the bound',
      yTitle: 'share of runs',
    }),
    polyline(frame, ideal, '#222'),
    ...lines,
    ...summaries.map(
      ({ scene }, index) => `<g transform="translate(250 150)">${legend(index, scene.name)}</g>`,
    ),
    text(334, 256, 'black: a normal estimator at the bound'),
  ]);
}

const thinned = (points: [number, number][]): [number, number][] => {
  const step = Math.max(1, Math.floor(points.length / 200));
  return points.filter((_, index) => index % step === 0 || index === points.length - 1);
};

/** Probability of a normal value within so many standard deviations, by the trapezium rule: it is for the eye. */
function withinSigmas(sigmas: number): number {
  const steps = 200;
  let sum = 0;
  for (let at = 0; at <= steps; at += 1) {
    const weight = at === 0 || at === steps ? 0.5 : 1;
    sum += weight * Math.exp(-(((at / steps) * sigmas) ** 2) / 2);
  }
  return (2 * sum * sigmas) / steps / Math.sqrt(2 * Math.PI);
}

/** How many of 100 intervals said to be 95 % hold the truth, with two standard deviations of the count itself. */
function coveragePlot(summaries: readonly NullSummary[]): string {
  const frame: Frame = { ...FRAME, x: [0, summaries.length * 3 + 1], y: [88, 100] };
  const band = `<rect x="${frame.left}" y="${down(frame, 97)}" width="${frame.width - frame.left - frame.right}" height="${down(frame, 93) - down(frame, 97)}" fill="#e6e6e6"/>`;
  const bars = summaries.flatMap(({ coverage, byDecade }, index) =>
    [coverage, ...byDecade].map(({ held, of }, part) => {
      const share = held / of;
      const spread = 200 * Math.sqrt((share * (1 - share)) / of);
      const x = 3 * index + 1 + 0.6 * part;
      const at = (y: number) => down(frame, Math.max(88, Math.min(100, y)));
      return (
        `<line x1="${across(frame, x)}" x2="${across(frame, x)}" y1="${at(100 * share - spread)}" y2="${at(100 * share + spread)}" stroke="${COLOURS[part]}" stroke-width="2"/>` +
        `<circle cx="${across(frame, x)}" cy="${at(100 * share)}" r="4" fill="${COLOURS[part]}"/>`
      );
    }),
  );
  const names = summaries.map(({ scene }, index) =>
    text(
      across(frame, 3 * index + 1.6),
      frame.height - frame.bottom + 18,
      scene.name.split(',')[0],
      'text-anchor="middle"',
    ),
  );
  const parts = ['left: all runs', 'middle: galvanometer under 300 ohm', 'right: 300 ohm and more'].map(
    (name, part) =>
      `<circle cx="84" cy="${30 + 18 * part}" r="4" fill="${COLOURS[part]}"/>${text(94, 34 + 18 * part, name)}`,
  );
  return document(frame, 'How many intervals said to be 95 % hold the truth', [
    band,
    axes(frame, { xTicks: [], yTicks: [88, 90, 92, 94, 96, 98, 100], xTitle: '', yTitle: 'held, %' }),
    ...bars,
    ...names,
    `<g transform="translate(0 225)">${parts.join('')}</g>`,
  ]);
}
