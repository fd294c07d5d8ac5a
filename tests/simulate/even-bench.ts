import type { Bench } from '../../bridge/bench/bench-file.ts';
import { DEFAULT_SCENE, patched, type ScenePatch } from '../../bridge/simulate/default-scene.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';

/**
 * A bench that is better than any: an even wire, steady cells, a scale zero that is right. For tests of what an uneven wire would
 * only blur, and for the recordings in fixtures/, which were made on it. Invented.
 */

export const EVEN_BENCH: Bench = {
  format: 'tenwire-bench/1',
  name: 'Bench 7 (invented)',
  wire: {
    rows: 10,
    rowLengthCm: 100,
    resistanceOhm: 19.6,
    zeroEnd: 'left',
    uniformityRelative: 0.0001,
    turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0.02 },
  },
  position: {
    points: [
      { counts: 88, scaleCm: 0 },
      { counts: 2046, scaleCm: 50 },
      { counts: 3992, scaleCm: 100 },
    ],
    standardUncertaintyCm: 0.03,
    correlationCm: 15,
  },
  endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
  galvanometer: { zeroCounts: 2048, microampsPerCount: 0.05, resistanceOhm: 118 },
  protectiveResistanceOhm: 4700,
  ammeter: { zeroCounts: 10, milliampsPerCount: 0.05, leastCountMa: 2, zeroCorrectionMa: 0 },
  voltmeter: { rangeV: 3, leastCountV: 0.02 },
  driver: { emfV: 3.06 },
  cells: {
    '1': { label: 'cell 1 (invented)', voltmeterV: 1.54 },
    '2': { label: 'cell 2 (invented)', voltmeterV: 1.34 },
  },
  thermalEmfUv: 5,
};

export const EVEN_SCENE: Scene = {
  ...patched(DEFAULT_SCENE, {
    apparatus: {
      wire: { resistanceOhm: 19.6, walkPer10Cm: 0, rowSpread: 0, stripOhm: 0, stripSpreadOhm: 0 },
      scaleZeroCm: 0,
      cells: { 1: { driftPercentPerMin: 0 }, 2: { driftPercentPerMin: 0 } },
      thermalEmfUv: { 1: 2, 2: 2 },
    },
    frontEnd: { position: { scaleErrorCm: null, scaleCorrelationCm: null } },
  }),
  bench: EVEN_BENCH,
};

/** The even bench with a patch laid over it. */
export const evenScene = (patch: ScenePatch): Scene => patched(EVEN_SCENE, patch);
