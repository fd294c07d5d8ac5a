import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import type { FoundNull } from '../../bridge/detect/detector.ts';
import { evaluate } from '../../bridge/detect/estimate/curve.ts';
import { Run } from '../../bridge/run/run.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { NULL_SCENES, type NullScene } from './null-scenes.ts';
import { axes, COLOURS, document, dot, FRAME, type Frame, polyline, text } from './svg.ts';

const formulas = await loadFormulas();

/** One pass of the worst scene as the fit sees it: samples with all their hum and spikes, and the curve through them. */
export function examplePlot(): string {
  const scene = NULL_SCENES.find(({ name }) => name.startsWith('hum'));
  if (scene === undefined) throw new RangeError('no such scene');
  const fold = new Run({ formulas });
  for (const record of simulateRun(insensitive(scene))) fold.addRecord(record);
  const [first] = fold.state.lengths.flatMap((length) =>
    length.by === 'board' && length.found.fit.by === 'sweep' ? [length.found] : [],
  );
  return passPlot(first.fit);
}

/** The first run of a bench on which hum and spikes can be seen beside the slope. */
function insensitive(scene: NullScene): Scene {
  for (let seed = 1; ; seed += 1) {
    const drawn = scene.draw(seed);
    if (drawn.apparatus.galvanometerOhm > INSENSITIVE_OHM) return drawn;
  }
}

const INSENSITIVE_OHM = 1500;

function passPlot({ shown, curve, rootCm }: FoundNull<unknown>['fit']): string {
  const reach = Math.max(...shown.y.map(Math.abs));
  const ends: [number, number] = [Math.min(...shown.x), Math.max(...shown.x)];
  const frame: Frame = { ...FRAME, x: ends, y: [-1.05 * reach, 1.05 * reach] };
  const places = Array.from({ length: 60 }, (_, at) => ends[0] + ((ends[1] - ends[0]) * at) / 59);
  const whole = (from: number, to: number, step: number) =>
    Array.from(
      { length: Math.floor((to - from) / step) + 1 },
      (_, at) => Math.ceil(from / step) * step + at * step,
    ).filter((tick) => tick <= to);
  const round = 10 ** Math.floor(Math.log10(reach));
  return document(frame, 'A pass and its fit', [
    axes(frame, {
      xTicks: whole(ends[0], ends[1], 1),
      yTicks: whole(frame.y[0], frame.y[1], round),
      xTitle: 'place on the scale, seen through the lag, in cm',
      yTitle: 'counts from zero',
    }),
    ...Array.from(shown.x, (x, at) => dot(frame, x, shown.y[at], COLOURS[0], 2)),
    polyline(
      frame,
      places.map((x): [number, number] => [x, evaluate(curve, x)]),
      COLOURS[1],
    ),
    polyline(
      frame,
      [
        [rootCm, frame.y[0]],
        [rootCm, frame.y[1]],
      ],
      '#222',
      '4 3',
    ),
    polyline(
      frame,
      [
        [ends[0], 0],
        [ends[1], 0],
      ],
      '#888',
    ),
    text(90, 34, 'samples in use, hum included; the fitted curve; the null'),
  ]);
}
