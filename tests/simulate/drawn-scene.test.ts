import { describe, expect, test } from 'vitest';
import { profileOf } from '../../bridge/simulate/apparatus.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { drawnScene } from '../../bridge/simulate/drawn-scene.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { evenScene } from './even-bench.ts';

const DRAWS = 2000;
const drawsOf = (scene: Scene): Scene[] =>
  Array.from({ length: DRAWS }, (_, seed) => drawnScene(scene, seed));

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
const spread = (values: readonly number[]): number => Math.sqrt(mean(values.map((value) => value * value)));

const NO_STRIPS = { valueCm: 0, standardUncertaintyCm: 0 };
/** A wire that is as uneven as the patch says and nothing else. */
const statedWire = (wire: Partial<Scene['bench']['wire']>): Scene =>
  sceneWith({
    bench: { wire: { uniformityRelative: 0, rowSpreadRelative: 0, turnCorrectionCm: NO_STRIPS, ...wire } },
  });

/** By how much a length is worth more as wire than a share of the whole wire as long. */
const errorsAt = (scenes: readonly Scene[], lengthCm: number): number[] =>
  scenes.map((scene) => {
    const { ohmAt, totalOhm } = profileOf(scene);
    return (1000 * ohmAt(lengthCm)) / totalOhm - lengthCm;
  });

const covariance = (scenes: readonly Scene[], oneCm: number, otherCm: number): number => {
  const other = errorsAt(scenes, otherCm);
  return mean(errorsAt(scenes, oneCm).map((error, index) => error * other[index]));
};

/** Standard errors of a covariance of so many draws are some 3 % of the variances. */
const near = (found: number, expected: number) => expect(Math.abs(found / expected - 1)).toBeLessThan(0.12);

describe('a bench drawn from its bench file', () => {
  test("a random walk has the covariance u² L (min(l, l') - l l'/L) of a length and the whole wire", () => {
    const scenes = drawsOf(statedWire({ uniformityRelative: 0.001 }));
    for (const [one, other] of [
      [250, 250],
      [500, 500],
      [300, 800],
    ])
      near(covariance(scenes, one, other), 1e-6 * 1000 * (Math.min(one, other) - (one * other) / 1000));
  });

  test('rows that differ move a length by what it has of each row', () => {
    const scenes = drawsOf(statedWire({ rowSpreadRelative: 0.002 }));
    // Of ten rows, five below 500 cm: the variance of their sum less half of all is 10/4 rows' worth.
    near(covariance(scenes, 500, 500), (0.002 * 100) ** 2 * 2.5);
    // Half of row 1, less a twentieth of all.
    near(covariance(scenes, 50, 50), (0.002 * 100) ** 2 * ((0.5 - 0.05) ** 2 + 9 * 0.05 ** 2));
  });

  test('each strip is worth as much wire as stated, and one length has those below it', () => {
    const strip = { valueCm: 0.5, standardUncertaintyCm: 0.1 };
    const totals = drawsOf(statedWire({ turnCorrectionCm: strip })).map(
      (scene) => (1000 * profileOf(scene).totalOhm) / scene.apparatus.wire.resistanceOhm,
    );
    near(mean(totals) - 1000, 9 * 0.5);
    near(spread(totals.map((total) => total - mean(totals))), 0.1 * 3);
  });

  test('end corrections, thermal EMFs and drifts of cells scatter as stated, each on its own', () => {
    const scenes = drawsOf(
      evenScene({
        bench: {
          endCorrection: { valueCm: 0.3, standardUncertaintyCm: 0.5 },
          thermalEmfUv: 7,
          cells: { '2': { steadyRelativePerMin: 0.001 } },
        },
      }),
    );
    const ends = scenes.map((scene) => truthOf(scene).endACm);
    near(mean(ends), 0.3);
    near(spread(ends.map((end) => end - 0.3)), 0.5);
    for (const cell of [1, 2] as const)
      near(spread(scenes.map(({ apparatus }) => apparatus.thermalEmfUv[cell])), 7);
    near(spread(scenes.map(({ apparatus }) => apparatus.cells[2].driftPercentPerMin)), 0.1);
    expect(scenes.every(({ apparatus }) => apparatus.cells[1].driftPercentPerMin === 0)).toBe(true);
  });

  test('is the same from the same seed', () => {
    expect(drawnScene(sceneWith({}), 7)).toEqual(drawnScene(sceneWith({}), 7));
  });
});

test('the EMFs of the truth are averages over the time asked for', () => {
  const cells = {
    1: { emfV: 1.5, resistanceOhm: 0.4, driftPercentPerMin: -0.06 },
    2: { emfV: 1.25, resistanceOhm: 0.4, driftPercentPerMin: 0 },
  };
  const scene = sceneWith({ apparatus: { cells } });
  expect(truthOf(scene).ratio).toBeCloseTo(1.2, 12);
  // Half of five minutes at 0.06 % a minute.
  expect(truthOf(scene, { fromS: 0, toS: 300 }).ratio).toBeCloseTo(1.2 * (1 - 0.0015), 12);
  expect(truthOf(scene, { fromS: 60, toS: 120 }).emf1V).toBeCloseTo(1.5 * (1 - 0.0009), 12);
});
