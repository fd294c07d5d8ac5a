import type {
  BalancingLength,
  BenchKnowledge,
  ComparisonSet,
  LoadSet,
} from '../../bridge/calc-core/balancing-length.ts';
import { compareEmfs } from '../../bridge/calc-core/comparison.ts';
import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../bridge/calc-core/internal-resistance.ts';
import { combine } from '../../bridge/run/observations.ts';
import type { ResolvedNull } from '../../bridge/run/resolved-null.ts';
import { setCurrent } from '../../bridge/run/set-current.ts';
import { BENCH, drawTruth, type Normal, readLength, type Truth, trueNullCm } from './bench-truth.ts';
import type { Trial } from './tally.ts';

/** Scenes of the study of results: how often the stated interval holds the truth, and how far off the estimates are. */

export interface Scene {
  name: string;
  quantity: 'E1/E2' | 'r';
  bench: BenchKnowledge;
  experiment(bench: BenchKnowledge, formulas: Formulas, normal: Normal): Trial;
}

const E1 = 1.582;
const E2 = 1.324;
const READ_CM = 0.01;

/** Uniform in 0 to 1, made of a normal draw by the logistic approximation of its distribution function. */
const uniform = (normal: Normal): number => 1 / (1 + Math.exp(-1.702 * normal()));

/** Gradients that spread the longer null over the upper half of the wire, never the same twice. */
const gradients = (sets: number, normal: Normal): number[] =>
  Array.from(
    { length: sets },
    (_, index) => E1 / (950 - (420 * index) / Math.max(3, sets - 1) + 12 * (uniform(normal) - 0.5)),
  );

const currentMa = (bench: BenchKnowledge, gradient: number): number =>
  (gradient * bench.wireLengthCm * 1e3) / bench.wireResistanceOhm;

type TakeSet = (
  bench: BenchKnowledge,
  truth: Truth,
  set: number,
  gradient: number,
  normal: Normal,
) => ComparisonSet;

const steadySet: TakeSet = (bench, truth, set, gradient, normal) => {
  const read = (emf: number, branch: 0 | 1) =>
    readLength(truth, trueNullCm(truth, emf + truth.thermalV[branch], gradient), READ_CM, normal);
  return { set, driverMa: currentMa(bench, gradient), l1: read(E1, 0), l2: read(E2, 1) };
};

/** A standard uncertainty from three repeats in place of a known one. */
function estimated(length: BalancingLength, normal: Normal): BalancingLength {
  const squares = Array.from({ length: 3 }, () => normal() ** 2).reduce((sum, square) => sum + square, 0);
  return { ...length, uOwnCm: length.uOwnCm * Math.sqrt(squares / 3), ownDof: 3 };
}

const repeatedSet: TakeSet = (bench, truth, set, gradient, normal) => {
  const steady = steadySet(bench, truth, set, gradient, normal);
  return { ...steady, l1: estimated(steady.l1, normal), l2: estimated(steady.l2, normal) };
};

/** A lag that shifts all lengths by the same, known to 0.02 cm only. */
const laggingSet =
  (lagCm: number): TakeSet =>
  (bench, truth, set, gradient, normal) => {
    const steady = steadySet(bench, truth, set, gradient, normal);
    const lagged = (length: BalancingLength) => ({
      ...length,
      lengthCm: length.lengthCm + lagCm,
      common: { lag: 0.02 },
    });
    return { ...steady, l1: lagged(steady.l1), l2: lagged(steady.l2) };
  };

const MINUTE_S = 60;

/** A null as the fold resolves it, as far as combining needs. */
function resolved(
  set: number,
  cell: number,
  tS: number,
  length: BalancingLength,
  current: ResolvedNull['current'],
) {
  const nullPoint: Partial<ResolvedNull> = {
    by: 'taps',
    benchIndex: 0,
    set,
    tS,
    labels: { cell, row: length.row } as ResolvedNull['labels'],
    lengthCm: length.lengthCm,
    scaleCm: length.sensorScaleCm ?? 0,
    sense: length.scaleSense,
    ownVarianceCm2: length.uOwnCm ** 2,
    dof: length.ownDof,
    lagCm: 0,
    zeroCm: 0,
    uPositionCm: BENCH.position?.standardUncertaintyCm ?? 0,
    current,
  };
  return nullPoint as ResolvedNull;
}

/** Cell 1, cell 2, cell 2, cell 1, about a minute apart, while the driver runs down; the fold's own code brings them together. */
const driftingSet =
  (perMinute: number, channel: boolean): TakeSet =>
  (bench, truth, set, gradient, normal) => {
    const found = [1, 2, 2, 1].map((cell, index) => {
      const minutes = index + 0.2 * normal();
      const now = gradient * (1 - perMinute * minutes);
      const emf = (cell === 1 ? E1 : E2) + truth.thermalV[cell - 1];
      const length = readLength(truth, trueNullCm(truth, emf, now), READ_CM, normal);
      const current = channel ? { mA: currentMa(bench, now), uDriftPerS: 0, uAlone: 0 } : null;
      return resolved(set, cell, minutes * MINUTE_S, length, current);
    });
    const correlationCm = bench.position?.correlationCm ?? 15;
    const current = setCurrent(found, correlationCm);
    const [l1, l2] = [1, 2].map((cell) => {
      const ofCell = found.filter((nullPoint) => nullPoint.labels.cell === cell);
      return combine(ofCell, current, correlationCm).length;
    });
    return { set, driverMa: current?.mA ?? null, l1, l2 };
  };

const comparison =
  (sets: number, take: (normal: Normal) => TakeSet): Scene['experiment'] =>
  (bench, formulas, normal) => {
    const truth = drawTruth(bench, normal);
    const takeSet = take(normal);
    const taken = gradients(sets, normal).map((gradient, index) =>
      takeSet(bench, truth, index + 1, gradient, normal),
    );
    const { result, byTheBook } = compareEmfs(taken, bench, { formulas });
    return { truth: E1 / E2, result, byTheBook };
  };

const INTERNAL_OHM = 0.85;
const LOAD_RELATIVE = 0.001;

/** Loads of 2 to 20 ohm, each off by its own amount; the driver stays as it is. One open length for all, or one for each. */
const loads =
  (count: number, oneOpen: boolean): Scene['experiment'] =>
  (bench, formulas, normal) => {
    const truth = drawTruth(bench, normal);
    const gradient = E1 / (930 + 20 * uniform(normal));
    const driverMa = currentMa(bench, gradient);
    const read = (emf: number) =>
      readLength(truth, trueNullCm(truth, emf + truth.thermalV[0], gradient), READ_CM, normal);
    const open = read(E1);
    const sets = Array.from({ length: count }, (_, index): LoadSet => {
      const loadOhm = 2 * 10 ** (index / Math.max(1, count - 1));
      const real = loadOhm * (1 + LOAD_RELATIVE * normal());
      const set = oneOpen ? 1 : index + 1;
      const l0 = oneOpen ? open : read(E1);
      const l = read((E1 * real) / (real + INTERNAL_OHM));
      return { set, driverMa, loadOhm, uLoadOhm: LOAD_RELATIVE * loadOhm, l0, l };
    });
    const { result, byTheBook } = internalResistance(sets, bench, { formulas });
    return { truth: INTERNAL_OHM, result, byTheBook };
  };

const steady = () => steadySet;
const sound: BenchKnowledge = { ...BENCH, endCorrection: { valueCm: 0, standardUncertaintyCm: 0 } };
const crude: BenchKnowledge = {
  ...BENCH,
  uniformityRelative: 0.0005,
  turnCorrectionCm: { valueCm: 0.2, standardUncertaintyCm: 0.05 },
  thermalEmfUv: 20,
};
const compared = (name: string, bench: BenchKnowledge, experiment: Scene['experiment']): Scene => ({
  name,
  quantity: 'E1/E2',
  bench,
  experiment,
});

const resistance = (name: string, experiment: Scene['experiment']): Scene => ({
  name: `internal resistance, ${name}`,
  quantity: 'r',
  bench: BENCH,
  experiment,
});

export const SCENES: Scene[] = [
  compared(
    'plain: no end resistance, no error of the scale, 4 sets',
    { ...sound, position: null },
    comparison(4, steady),
  ),
  compared('error of the scale drawn afresh, 4 sets', sound, comparison(4, steady)),
  ...[1, 2, 3, 4, 6, 8].map((sets) =>
    compared(
      `end resistance and scale drawn afresh, ${sets} set${sets > 1 ? 's' : ''}`,
      BENCH,
      comparison(sets, steady),
    ),
  ),
  ...[0.001, 0.003, 0.01].flatMap((perMinute) => [
    compared(
      `driver drifts ${perMinute * 100} %/min, driver channel, 4 sets`,
      BENCH,
      comparison(4, () => driftingSet(perMinute, true)),
    ),
    compared(
      `driver drifts ${perMinute * 100} %/min, no driver channel, 4 sets`,
      BENCH,
      comparison(4, () => driftingSet(perMinute, false)),
    ),
  ]),
  compared(
    'uncertainties from 4 repeats each, 4 sets',
    { ...BENCH, position: null },
    comparison(4, () => repeatedSet),
  ),
  compared(
    'a lag common to all lengths, 4 sets',
    BENCH,
    comparison(4, (normal) => laggingSet(0.02 * normal())),
  ),
  compared('uneven wire, strips, thermal EMFs, 5 sets', crude, comparison(5, steady)),
  ...[1, 3, 6].map((count) =>
    resistance(`${count} load${count > 1 ? 's' : ''}, open before each`, loads(count, false)),
  ),
  resistance('5 loads after one open length', loads(5, true)),
];

export function* trialsOf(
  scene: Scene,
  experiments: number,
  formulas: Formulas,
  normal: Normal,
): Generator<Trial> {
  for (let index = 0; index < experiments; index += 1) yield scene.experiment(scene.bench, formulas, normal);
}
