import { plusMinus } from '../../bridge/calc-core/rounding.ts';
import { endCorrectedRatio } from '../../bridge/run/set-rows.ts';
import type { ComparisonSetView, Outcome, SessionView } from '../../bridge/serve/page-protocol.ts';
import { plainNumbers } from '../plots/axis.ts';
import { roundUp } from '../plots/window.ts';
import { useTexts } from '../texts/texts.ts';

const WIDTH = 640;
const HEIGHT = 300;
/** Room for the figures of the view for the room, which are twice as large. */
const LEFT = 110;
const BOTTOM = 36;
const PAD = 14;

interface SetPoint {
  set: number;
  ratio: number;
  u: number;
  /** With the end correction applied; null where none was worked out. */
  corrected: number | null;
}

const pointsOf = (sets: readonly ComparisonSetView[], alphaCm: number | null): SetPoint[] =>
  sets.flatMap((one) => {
    const { set, ratio, uRatio } = one;
    if (ratio === null || uRatio === null) return [];
    return [{ set, ratio, u: uRatio, corrected: alphaCm === null ? null : endCorrectedRatio(one, alphaCm) }];
  });

/** The sets' own ratios with their standard uncertainty, as read and with the end correction, beside the adopted result with U. */
export function SetsPlot({ view: { work } }: { view: SessionView }) {
  const texts = useTexts();
  if (work.procedure !== 'emf-comparison') return null;
  const end = work.outcome?.endCorrectionCm ?? null;
  const points = pointsOf(work.sets, end?.value ?? null);
  if (points.length === 0) return null;
  const result = work.outcome?.result ?? null;
  const [low, high] = rangeOf(points, result);
  const y = (value: number) => PAD + ((high - value) / (high - low || 1)) * (HEIGHT - BOTTOM - 2 * PAD);
  const listed = points.map(
    (point) => `${texts.labels.set} ${point.set}: ${plusMinus(point.ratio, point.u)}`,
  );
  return (
    <figure class="panel">
      <figcaption>
        <h2>{texts.result.setsPlot}</h2>
      </figcaption>
      <svg class="sets-plot" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={listed.join('; ')}>
        {result !== null && <Adopted result={result} y={y} />}
        <Ticks low={low} high={high} y={y} />
        <Points points={points} y={y} />
      </svg>
      {end !== null && (
        <p class="sets-key">
          <span>● {texts.result.asRead}</span>{' '}
          <span>◇ {texts.result.corrected(plusMinus(end.value, end.u, 'cm'))}</span>
        </p>
      )}
    </figure>
  );
}

type Upright = (value: number) => number;
type Interval = Pick<Outcome, 'value' | 'U'>;

/** What the plot must show: each set by twice its uncertainty, the result by U. */
function rangeOf(points: readonly SetPoint[], result: Interval | null): [number, number] {
  const bars = points.flatMap(({ ratio, u, corrected }) => [
    [ratio, 2 * u],
    [corrected ?? ratio, 2 * u],
  ]);
  if (result !== null) bars.push([result.value, result.U]);
  return [
    Math.min(...bars.map(([value, half]) => value - half)),
    Math.max(...bars.map(([value, half]) => value + half)),
  ];
}

function Adopted({ result: { value, U }, y }: { result: Interval; y: Upright }) {
  const top = y(value + U);
  return (
    <>
      <rect class="sets-interval" x={LEFT} width={WIDTH - LEFT - PAD} y={top} height={y(value - U) - top} />
      <line class="sets-value" x1={LEFT} x2={WIDTH - PAD} y1={y(value)} y2={y(value)} />
    </>
  );
}

function Ticks({ low, high, y }: { low: number; high: number; y: Upright }) {
  const marks = ticks(low, high);
  const labels = plainNumbers(null, marks);
  return (
    <>
      {marks.map((value, index) => (
        <g key={value} class="sets-tick">
          <line x1={LEFT - 4} x2={LEFT} y1={y(value)} y2={y(value)} />
          <text x={LEFT - 8} y={y(value) + 4}>
            {labels[index]}
          </text>
        </g>
      ))}
    </>
  );
}

/** Around the point before it. */
const DIAMOND = 'm0-6l5 6l-5 6l-5-6z';

function Points({ points, y }: { points: readonly SetPoint[]; y: Upright }) {
  const texts = useTexts();
  const x = (index: number) => LEFT + ((index + 0.5) / points.length) * (WIDTH - LEFT - PAD);
  return (
    <>
      {points.map(({ set, ratio, u, corrected }, index) => (
        <g key={set} class="sets-point">
          <line x1={x(index)} x2={x(index)} y1={y(ratio - u)} y2={y(ratio + u)} />
          <circle cx={x(index)} cy={y(ratio)} r={4} />
          {corrected !== null && <path d={`M${x(index)} ${y(corrected)}${DIAMOND}`} />}
          <text x={x(index)} y={HEIGHT - 12}>
            {texts.labels.set} {set}
          </text>
        </g>
      ))}
    </>
  );
}

/** Round values within, three to eight of them. */
function ticks(low: number, high: number): number[] {
  const step = roundUp((high - low) / 6);
  const first = Math.ceil(low / step);
  const count = Math.floor(high / step) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, index) => (first + index) * step);
}
