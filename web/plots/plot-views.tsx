import { useEffect, useRef, useState } from 'preact/hooks';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { useApp, useView } from '../app/app-context.ts';
import { presentNull } from '../app/present-null.ts';
import { useTexts } from '../texts/texts.ts';
import { LengthPlot, type LengthPlotMarks } from './length-plot.ts';
import type { DrawnNull } from './marks.ts';
import { onThemeChange } from './palette.ts';
import { TimePlot } from './time-plot.ts';
import { nearRange, type Range } from './window.ts';

export type WindowChoice = 'whole' | 'near' | 'follow';

/** Draws a plot into the element, and again when light and dark change place or a larger window has larger letters. */
function usePlot<Plot extends { destroy(): void }>(make: (host: HTMLElement) => Plot, remakeOn: unknown[]) {
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<Plot | null>(null);
  const [theme, setTheme] = useState(0);
  useEffect(() => onThemeChange(() => setTheme((count) => count + 1)), []);
  const [fontSize, setFontSize] = useState('');
  useEffect(() => {
    const look = () => host.current !== null && setFontSize(getComputedStyle(host.current).fontSize);
    look();
    addEventListener('resize', look);
    return () => removeEventListener('resize', look);
  }, []);
  useEffect(() => {
    if (host.current === null) return;
    plot.current = make(host.current);
    return () => {
      plot.current?.destroy();
      plot.current = null;
    };
  }, [theme, fontSize, ...remakeOn]);
  return { host, plot };
}

export function LengthPlotView({ choice }: { choice: WindowChoice }) {
  const { points, store } = useApp();
  const view = useView();
  const texts = useTexts();
  const last = useRef<Range | null>(null);
  const marks = marksOf(view, choice, last.current);
  last.current = marks.window;
  const { host, plot } = usePlot(
    (element) =>
      new LengthPlot(
        element,
        points,
        { length: texts.plots.lengthAxis, current: texts.plots.currentAxis },
        marks,
      ),
    [points, texts],
  );
  useEffect(() => plot.current?.setMarks(marks));
  useEffect(
    () =>
      store.subscribe(() => {
        const now = store.state.now;
        plot.current?.setJockey(now?.lengthCm ?? null, now?.contact !== false);
      }),
    [store],
  );
  const label = `${texts.plots.along}. ${describe(marks.nulls, texts.plots.noNulls)}`;
  return <div class="plot plot-length" ref={host} role="img" aria-label={label} />;
}

const describe = (nulls: DrawnNull[], none: string): string =>
  nulls.length === 0 ? none : nulls.map((found) => found.label).join('; ');

export function TimePlotView() {
  const { points } = useApp();
  const texts = useTexts();
  const { host } = usePlot(
    (element) =>
      new TimePlot(element, points, { time: texts.plots.timeAxis, current: texts.plots.currentAxis }),
    [points, texts],
  );
  return <div class="plot plot-time" ref={host} role="img" aria-label={texts.plots.time} />;
}

/** The large figure and the plot speak of the same null. */
export function marksOf(
  view: SessionView | null,
  choice: WindowChoice,
  present: Range | null,
): LengthPlotMarks {
  const cell = view?.labels.cell.value ?? null;
  const nulls = view === null ? [] : drawnNulls(view, cell);
  const guide = view?.guidance ?? null;
  return {
    nulls,
    expected: guide === null ? null : { lengthCm: guide.lengthCm, withinCm: guide.withinCm },
    window: windowOf(view, choice, present),
    cell: cell === 1 || cell === 2 ? cell : null,
    sinceS: view === null ? 0 : startOfSet(view),
  };
}

const SWEEP_REST_S = 3;

/** After the last null of an earlier set, and after the rest of the sweep that it was found in. */
function startOfSet(view: SessionView): number {
  const earlier = view.nulls.filter((found) => found.set !== null && found.set < view.labels.set.value);
  return earlier.length === 0 ? 0 : Math.max(...earlier.map((found) => found.atS)) + SWEEP_REST_S;
}

/** Nulls of the present set and cell; the others stand in the list. */
function drawnNulls(view: SessionView, cell: number | null): DrawnNull[] {
  const present = presentNull(view);
  return view.nulls
    .filter((found) => found.lengthCm !== null && found.set === view.labels.set.value && found.cell === cell)
    .map((found) => ({
      id: found.id,
      lengthCm: found.lengthCm ?? 0,
      cell: found.cell,
      used: found.used,
      fitLengthCm: found.picture?.fitFromNullCm.map((cm) => (found.lengthCm ?? 0) + cm) ?? [],
      fitCurrentUa: found.picture?.fitCurrentUa ?? [],
      label: `${found.id}  ${roundTogether(found.lengthCm, found.uCm).value} cm`,
      isPresent: found === present,
    }));
}

function windowOf(view: SessionView | null, choice: WindowChoice, present: Range | null): Range {
  const wire = view?.bench?.wire;
  const whole = { min: 0, max: wire === undefined ? 1000 : wire.rows * wire.rowLengthCm };
  if (view === null || choice === 'whole') return whole;
  const guide = view.guidance;
  const { cell, set, protect } = view.labels;
  const shown = presentNull(view);
  const found = shown?.cell === cell.value && shown.set === set.value ? shown : null;
  const close = found?.lengthCm ?? guide?.lengthCm;
  if (close === undefined) return whole;
  if (choice === 'follow' && protect.value && found?.fine !== true) return whole;
  return nearRange(close, guide === null ? 2 : guide.withinCm * 1.5, present);
}
