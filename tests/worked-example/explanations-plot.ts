import { halfWidth, moments, type NormalPart } from '../../bridge/calc-core/mixture.ts';
import {
  across,
  axes,
  COLOURS,
  DASHES,
  document,
  dot,
  down,
  type Frame,
  polyline,
  text,
} from '../study/svg.ts';

/** The picture of docs/uncertainty.md: four invented sets, three explanations that fit them, and the average of their answers. */

const START = 1.2;
/** Lengths of cell 2, the shortest taken first, and l1 - 1.2·l2 with its standard uncertainty, all in cm. */
const L2 = [480, 560, 640, 720] as const;
const OFF = [0.44, 0.38, 0.3, 0.27] as const;
const U_OFF = 0.05;
const ROW = { from: 500, to: 600 };

const partOfRow = (cm: number): number => Math.max(0, Math.min(cm, ROW.to) - ROW.from);

/** What each does to l1 - q·l2 at a length l2, for one unit of it. */
const EXPLANATIONS = [
  { name: 'end correction', shape: () => 1 },
  { name: 'one row uneven', shape: (l2: number) => partOfRow(START * l2) - START * partOfRow(l2) },
  { name: 'cell 1 falls', shape: (l2: number) => START * l2 * ((l2 - 600) / 80) },
] as const;

/** Least squares of OFF against l2 (its slope is what the ratio is more than 1.2) and one shape. */
function fitted(shape: (l2: number) => number) {
  const sum = (of: (l2: number, off: number) => number) =>
    L2.reduce((total, l2, index) => total + of(l2, OFF[index]), 0);
  const aa = sum((l2) => l2 * l2);
  const ab = sum((l2) => l2 * shape(l2));
  const bb = sum((l2) => shape(l2) ** 2);
  const [ya, yb] = [sum((l2, off) => off * l2), sum((l2, off) => off * shape(l2))];
  const determinant = aa * bb - ab * ab;
  const slope = (ya * bb - yb * ab) / determinant;
  const size = (yb * aa - ya * ab) / determinant;
  return {
    at: (l2: number) => slope * l2 + size * shape(l2),
    answer: {
      weight: 1 / EXPLANATIONS.length,
      mean: START + slope,
      variance: (U_OFF ** 2 * bb) / determinant,
    },
  };
}

const WHOLE = { width: 760, height: 320, top: 20, bottom: 48 };
const SETS: Frame = { ...WHOLE, left: 56, right: 404, x: [440, 760], y: [0, 0.6] };
const ANSWERS: Frame = { ...WHOLE, left: 420, right: 16, x: [1.1975, 1.2025], y: [0, 1] };

const density = ({ mean, variance }: NormalPart, x: number): number =>
  Math.exp(-((x - mean) ** 2) / (2 * variance)) / Math.sqrt(variance);

export function explanationsPlot(): string {
  const fits = EXPLANATIONS.map(({ shape }) => fitted(shape));
  const answers = fits.map(({ answer }) => answer);
  const { mean } = moments(answers);
  return document({ ...SETS, right: 16 }, 'Four sets, three explanations, and the average of their answers', [
    axes(SETS, {
      xTicks: [480, 560, 640, 720],
      yTicks: [0, 0.2, 0.4, 0.6],
      xTitle: 'l2 in cm',
      yTitle: 'l1 - 1.2·l2 in cm',
    }),
    ...fits.map(({ at }, index) => polyline(SETS, points(SETS, at), COLOURS[index], DASHES[index])),
    ...L2.flatMap((l2, index) => [bar(l2, OFF[index]), dot(SETS, l2, OFF[index], '#222', 4)]),
    ...EXPLANATIONS.map(({ name }, index) => legend(index, name)),
    axes(ANSWERS, {
      xTicks: [1.198, 1.199, 1.2, 1.201, 1.202],
      yTicks: [],
      xTitle: 'E1/E2',
      yTitle: '',
    }),
    ...mixturePart(answers),
    interval(mean, halfWidth(answers, mean, 0.95)),
  ]);
}

const points = ({ x: [from, to] }: Frame, of: (x: number) => number): [number, number][] =>
  Array.from({ length: 161 }, (_, step) => {
    const x = from + ((to - from) * step) / 160;
    return [x, of(x)];
  });

const bar = (l2: number, off: number): string =>
  polyline(
    SETS,
    [
      [l2, off - U_OFF],
      [l2, off + U_OFF],
    ],
    '#222',
  );

function legend(index: number, name: string): string {
  const y = down(SETS, 0.17) + 18 * index;
  const key = `<line x1="72" x2="104" y1="${y.toFixed(1)}" y2="${y.toFixed(1)}" stroke="${COLOURS[index]}" stroke-width="2" stroke-dasharray="${DASHES[index]}"/>`;
  return `${key}\n${text(112, y + 4, name)}`;
}

/** The answer of each explanation, and thick above them their average. */
function mixturePart(answers: readonly NormalPart[]): string[] {
  const whole = (x: number) => answers.reduce((sum, part) => sum + part.weight * density(part, x), 0);
  const highest = Math.max(...points(ANSWERS, whole).map(([, y]) => y));
  const drawn = (of: (x: number) => number) => points(ANSWERS, (x) => (0.8 * of(x)) / highest);
  return [
    ...answers.map((part, index) =>
      polyline(
        ANSWERS,
        drawn((x) => part.weight * density(part, x)),
        COLOURS[index],
        DASHES[index],
      ),
    ),
    polyline(ANSWERS, drawn(whole), '#222'),
  ];
}

function interval(mean: number, U: number): string {
  const y = 0.92;
  return [
    polyline(
      ANSWERS,
      [
        [mean - U, y],
        [mean + U, y],
      ],
      '#222',
    ),
    dot(ANSWERS, mean, y, '#222', 4),
    text(across(ANSWERS, mean), down(ANSWERS, y) - 8, 'value ± U', 'text-anchor="middle"'),
  ].join('\n');
}
