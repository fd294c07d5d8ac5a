import { randomStream } from './random.ts';
import type { Scene } from './scene.ts';

/**
 * The scene again with a bench drawn afresh from what its bench file says is known: end correction, uniformity, strips,
 * thermal EMF, galvanometer zero, and (by the seed) the position sensor's scale error. An interval said to be 95 % must
 * hold the truth in 95 of 100 benches drawn so.
 */
export function drawnScene(scene: Scene, seed: number): Scene {
  const { bench, apparatus } = scene;
  const random = randomStream(seed, 'drawn bench');
  const normal = (value: number, u: number): number => value + u * random.normal();
  const ohmPerCm = apparatus.wire.resistanceOhm / (bench.wire.rows * bench.wire.rowLengthCm);
  const strip = bench.wire.turnCorrectionCm ?? { valueCm: 0, standardUncertaintyCm: 0 };
  const end = bench.endCorrection ?? { valueCm: 0, standardUncertaintyCm: 1 };
  return {
    ...scene,
    seed,
    apparatus: {
      ...apparatus,
      endAOhm: ohmPerCm * normal(end.valueCm, end.standardUncertaintyCm),
      thermalEmfUv: normal(0, bench.thermalEmfUv ?? THERMAL_UV),
      wire: {
        ...apparatus.wire,
        rowFactors: rowFactors(bench.wire.rows, bench.wire.uniformityRelative ?? 0, random.normal),
        stripOhm: ohmPerCm * normal(strip.valueCm, strip.standardUncertaintyCm),
      },
    },
    frontEnd: {
      ...scene.frontEnd,
      galvanometer: {
        ...scene.frontEnd.galvanometer,
        zeroCounts: normal(bench.galvanometer.zeroCounts, ZERO_COUNTS),
      },
    },
  };
}

/** Standard uncertainty of the thermal EMF where the bench file is silent (formats.md), in microvolts. */
const THERMAL_UV = 5;
/** How far zeros lie from their nominal counts. */
const ZERO_COUNTS = 6;

/**
 * Independent rows. Relative to the whole wire the resistance of the first half of n rows then varies by s/sqrt(n), so
 * s = u sqrt(n) makes the stated relative uncertainty true of a length half way, and less than that nearer the end B.
 */
function rowFactors(rows: number, uniformityRelative: number, normal: () => number): number[] {
  return Array.from({ length: rows }, () => 1 + uniformityRelative * Math.sqrt(rows) * normal());
}
