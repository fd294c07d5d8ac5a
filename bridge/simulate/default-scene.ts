import type { Bench } from '../bench/bench-file.ts';
import type { Scene } from './scene.ts';
import type { StudentTask } from './student-task.ts';

/**
 * Our own invented bench: no such bench, cells or readings exist. Its laboratory has measured rows and strips with a four-wire
 * ohmmeter, and leaves out what it has not: how even the wire is along a row, the joint at A, how steady the cells are.
 */
export const INVENTED_BENCH: Bench = {
  format: 'tenwire-bench/1',
  name: 'Bench 7 (invented)',
  wire: {
    rows: 10,
    rowLengthCm: 100,
    resistanceOhm: 19.6,
    zeroEnd: 'left',
    rowSpreadRelative: 0.002,
    turnCorrectionCm: { valueCm: 0.09, standardUncertaintyCm: 0.04 },
  },
  position: {
    points: [
      { counts: 88, scaleCm: 0 },
      { counts: 2046, scaleCm: 50 },
      { counts: 3992, scaleCm: 100 },
    ],
    standardUncertaintyCm: 0.03,
  },
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

const TWELVE_BITS = { min: 0, max: 4095 };

export const COMPARISON: StudentTask = {
  kind: 'emf-comparison',
  rheostatOhm: [1.2, 4.1, 7.9, 13.2],
  order: [1, 2],
  fine: 'sweeps',
  passes: 4,
  taps: 8,
  sweepHalfCm: 3.5,
  sweepSpeedCmPerS: 2.5,
  writeDownS: 2,
  openKeyBetweenSets: false,
  recordsSets: false,
  recordsAmmeter: false,
  recordsLengths: false,
  referenceCell: null,
  load: { ohm: 10, uOhm: 0.01 },
};

export const INTERNAL_RESISTANCE: StudentTask = {
  ...COMPARISON,
  kind: 'internal-resistance',
  rheostatOhm: [4.1, 7.9, 11.5],
  order: [1],
};

/**
 * The scene that `tenwire demo` shows: two cells at four driver currents on a sound bench, which errs by ordinary amounts of its own
 * and not by those that its file states.
 */
export const DEFAULT_SCENE: Scene = {
  seed: 1,
  bench: INVENTED_BENCH,
  about: { startedUtc: '2026-03-02T09:30:00Z', by: ['simulated student (invented)'], temperatureC: 21.5 },
  apparatus: {
    wire: {
      resistanceOhm: 19.63,
      walkPer10Cm: 0.0025,
      rowSpread: 0.0015,
      stripOhm: 0.0018,
      stripSpreadOhm: 0.0006,
    },
    scaleZeroCm: 0.06,
    endAOhm: 0.0068,
    endBOhm: 0.009,
    driver: { emfV: 3.0612, resistanceOhm: 0.38, driftPercentPerMin: -0.04 },
    cells: {
      1: { emfV: 1.5437, resistanceOhm: 0.42, driftPercentPerMin: -0.003 },
      2: { emfV: 1.3386, resistanceOhm: 0.88, driftPercentPerMin: 0.002 },
    },
    loadOhm: 10,
    protectiveOhm: 4700,
    galvanometerOhm: 118,
    thermalEmfUv: { 1: 3, 2: -4 },
    faults: {
      cellsReversed: [],
      driverReversed: false,
      galvanometerSwapped: false,
      wireBrokenAtCm: null,
      branchOpen: false,
      keyDead: false,
    },
    contact: { bounces: 3, bounceMs: 12, chatterPerS: 0, chatterMs: 4 },
  },
  frontEnd: {
    galvanometer: {
      zeroCounts: 2053.4,
      driftCountsPerMin: 0.15,
      noiseUa: 0.05,
      wander: { rmsUa: 0, timeConstantS: 0.5 },
      hum: { amplitudeUa: 0.2, frequencyHz: 50.03 },
      spikes: { share: 0.0005, rmsUa: 3 },
      lagMs: 5,
    },
    position: { noiseCm: 0.02, backlashCm: 0.004, scaleErrorCm: 0.025, scaleCorrelationCm: 19 },
    driver: { noiseMa: 0.03 },
  },
  board: {
    name: 'SIM-07',
    firmware: 'simulated-1',
    rateHz: 200,
    channels: { gal: TWELVE_BITS, pos: TWELVE_BITS, drv: TWELVE_BITS },
    senses: { contact: true, cellKey: true, protect: true, row: true, load: true },
    firstSeq: 0,
    firstTUs: 0,
    helloFirst: true,
    jitterUs: 8,
    marksAtS: [],
    line: { lostShare: 0, damagedShare: 0, overruns: [], rebootsAtS: [], rebootSilenceS: 0.9, unplugged: [] },
  },
  hand: {
    tremorCm: 0.01,
    needle: { fullScaleUa: 40, dampingS: 0.12 },
    carrySpeedCmPerS: 55,
    tapHoldS: 0.5,
    eyeUa: 0.4,
    pressS: 0.08,
  },
  task: COMPARISON,
};

/** Any part of a scene, to lay over the default one; lists are replaced whole. */
export type ScenePatch = Patch<Scene>;
type Patch<T> = T extends readonly unknown[] ? T : T extends object ? { [K in keyof T]?: Patch<T[K]> } : T;

/** A scene with a patch laid over it. A `task` of another kind is given whole. */
export const patched = (scene: Scene, patch: ScenePatch): Scene => overlay(scene, patch) as Scene;

/** The default scene with a patch laid over it. */
export const sceneWith = (patch: ScenePatch): Scene => patched(DEFAULT_SCENE, patch);

const isPlain = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function overlay(base: unknown, patch: unknown): unknown {
  if (!isPlain(base) || !isPlain(patch)) return patch;
  const laid: Record<string, unknown> = { ...base };
  for (const [key, value] of Object.entries(patch)) {
    if (value !== undefined) laid[key] = overlay(base[key], value);
  }
  return laid;
}
