import { describe, expect, test } from 'vitest';
import { fillGaps } from '../../bridge/calc-core/assumed-sizes.ts';
import type { NamedLength } from '../../bridge/calc-core/length-effects.ts';
import { message } from '../../bridge/calc-core/messages.ts';
import { randomDraws } from '../../bridge/calc-core/random-draws.ts';
import { type ScaledName, scaledEffects } from '../../bridge/calc-core/scaled-effects.ts';
import { BENCH, readByEye } from './lengths.ts';

/** Covariances of the wire's and the cells' errors against simulated wires and cells. */

const WALK = 2e-4;
const ROWS = 2e-3;
const STEADY = 1e-4;
const FULL = fillGaps({
  ...BENCH,
  uniformityRelative: WALK,
  rowSpreadRelative: ROWS,
  steadyRelativePerMin: { 1: STEADY, 2: 3 * STEADY },
});

const PLACES = [
  { cm: 250, cell: 1, min: 0 },
  { cm: 305, cell: 2, min: 2 },
  { cm: 690, cell: 1, min: 5 },
  { cm: 940, cell: 2, min: 9 },
  { cm: 700, cell: 1, min: 12 },
] as const;
const lengths: NamedLength[] = PLACES.map(({ cm, cell, min }, index) => ({
  symbol: `l_${index}`,
  meaning: message('row-length', { cell, set: index }),
  length: { ...readByEye(cm, 0.01), atS: 60 * min },
  cell,
  driverMa: null,
}));

const RUNS = 20_000;
const { normal } = randomDraws(4);

/** One wire made of pieces of 5 cm; the error of each place, in cm. */
function walked(): number[] {
  const PIECE = 5;
  const errors = Array.from(
    { length: 1000 / PIECE },
    () => PIECE * WALK * Math.sqrt(1000 / PIECE) * normal(),
  );
  return PLACES.map(({ cm }) => errors.slice(0, cm / PIECE).reduce((sum, error) => sum + error, 0));
}

function rowed(): number[] {
  const rows = Array.from({ length: 10 }, () => ROWS * normal());
  return PLACES.map(({ cm }) =>
    rows.reduce((sum, error, row) => sum + error * Math.max(0, Math.min(100, cm - 100 * row)), 0),
  );
}

/** Two cells that drift, change faster at first, and wander, each counted from its average over the run of 12 minutes. */
function changed(): number[] {
  const [SPAN, STEPS] = [12, 120];
  const cells = [STEADY, 3 * STEADY].map((rate) => {
    const [drift, bend] = [normal(), 0.5 * normal()];
    let wander = 0;
    const course = Array.from({ length: STEPS + 1 }, (_, step) => {
      if (step > 0) wander += Math.sqrt((0.1 * SPAN) / STEPS) * normal();
      const x = (2 * step) / STEPS - 1;
      return rate * ((SPAN / 2) * (drift * x + bend * x * x) + wander);
    });
    // average by the trapezium rule
    const average = (course.reduce((sum, value) => sum + value, 0) - (course[0] + course[STEPS]) / 2) / STEPS;
    return course.map((value) => value - average);
  });
  return PLACES.map(({ cm, cell, min }) => cm * cells[cell - 1][(min * STEPS) / SPAN]);
}

const SIMULATED: [ScaledName, () => number[]][] = [
  ['walk', walked],
  ['rows', rowed],
  ['cells', changed],
];

describe.each(SIMULATED)('%s', (name, draw) => {
  const effect = scaledEffects(lengths, FULL).find((scaled) => scaled.name === name);
  const runs = Array.from({ length: RUNS }, draw);
  const covarianceOf = (a: number, b: number) => runs.reduce((sum, run) => sum + run[a] * run[b], 0) / RUNS;

  test('covariances of all pairs of lengths are those of simulated benches', () => {
    for (let a = 0; a < PLACES.length; a += 1) {
      for (let b = 0; b <= a; b += 1) {
        const scale = Math.sqrt(covarianceOf(a, a) * covarianceOf(b, b));
        const off = (effect?.covariance(a, b) ?? Number.NaN) - covarianceOf(a, b);
        // a covariance from 20,000 runs is known to √2/√20000 = 1 % of the variances at the most; four times that
        expect(Math.abs(off) / scale).toBeLessThan(0.04);
      }
    }
  });

  test('it moves no input that is not a length', () => {
    expect(effect?.covariance(0, PLACES.length)).toBe(0);
  });
});

test('nobody knows the times: a minute from length to length', () => {
  const untimed = lengths.map((named) => ({ ...named, length: { ...named.length, atS: null } }));
  const timed = untimed.map((named, index) => ({ ...named, length: { ...named.length, atS: 60 * index } }));
  const cells = (some: readonly NamedLength[]) => scaledEffects(some, FULL)[2].covariance(0, 4);
  expect(cells(untimed)).toBe(cells(timed));
});
