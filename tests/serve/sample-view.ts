import type { Bench } from '../../bridge/bench/bench-file.ts';
import { message } from '../../bridge/messages/catalogue.ts';
import type { ComparisonSetView, ComparisonWork, NullView, RunView } from '../../bridge/run/view.ts';

/** A run's view made by hand, with invented numbers: for tests of the server and the page alone. */

export const sampleBench: Bench = {
  format: 'tenwire-bench/1',
  name: 'Bench 4',
  wire: { rows: 10, rowLengthCm: 100, resistanceOhm: 20, zeroEnd: 'left' },
  position: {
    points: [
      { counts: 102, scaleCm: 0 },
      { counts: 3990, scaleCm: 100 },
    ],
    standardUncertaintyCm: 0.03,
    correlationCm: 15,
  },
  endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
  galvanometer: { zeroCounts: 2048, microampsPerCount: 0.05, resistanceOhm: 120 },
  protectiveResistanceOhm: 4700,
  ammeter: { zeroCounts: 0, milliampsPerCount: 0.1, leastCountMa: 1, zeroCorrectionMa: 0 },
  voltmeter: { rangeV: 5, leastCountV: 0.01 },
  driver: { emfV: 3.1 },
  cells: { '1': { label: 'cell 1', voltmeterV: 1.58 }, '2': { label: 'cell 2', voltmeterV: 1.32 } },
};

function samplePicture(): NullView['picture'] {
  const offsets = Array.from({ length: 41 }, (_, index) => (index - 20) / 10);
  const wobble = (offset: number) => 0.05 * Math.sin(offset * 17);
  return {
    fromNullCm: offsets,
    currentUa: offsets.map((offset) => -0.9 * offset + wobble(offset)),
    fitFromNullCm: [-2, 2],
    fitCurrentUa: [1.8, -1.8],
  };
}

export function sampleNull(changes: Partial<NullView> & { id: string; lengthCm: number }): NullView {
  return {
    set: 1,
    cell: 1,
    row: 8,
    scaleCm: 56.79,
    broughtCm: changes.lengthCm,
    uCm: 0.034,
    uReadCm: 0.004,
    fine: true,
    load: false,
    loadOhm: null,
    by: 'sweep',
    used: true,
    whyNot: null,
    rejected: null,
    driverMa: 100.2,
    sensitivityUaPerMm: 0.09,
    smallestLengthCm: 0.008,
    atS: 42.1,
    picture: samplePicture(),
    ...changes,
  };
}

/** One complete set. */
export const sampleSet: ComparisonSetView = {
  set: 1,
  driverMa: 100.2,
  l1Cm: 743.21,
  u1Cm: 0.03,
  uRead1Cm: 0.004,
  l2Cm: 621.7,
  u2Cm: 0.03,
  uRead2Cm: 0.004,
  ratio: 1.1954,
  uRatio: 0.0001,
};

export const sampleComparison = (sets: ComparisonSetView[]): ComparisonWork => ({
  procedure: 'emf-comparison',
  sets,
  outcome: null,
  emf: null,
  wireLines: [],
});

export function sampleView(changes: Partial<RunView> = {}): RunView {
  return {
    resultsHidden: false,
    about: { startedUtc: '2026-03-02T09:30:00Z', by: ['Ada (invented)'], temperatureC: 21.5 },
    bench: sampleBench,
    board: {
      name: 'sim-4',
      firmware: 'sim',
      rateHz: 200,
      senses: { contact: true, cellKey: true, protect: true, row: true, load: false },
      channels: ['gal', 'pos', 'drv'],
    },
    linkUp: true,
    labels: {
      cell: { value: 1, from: 'board' },
      row: { value: 8, from: 'board' },
      protect: { value: false, from: 'board' },
      load: { value: false, from: 'unknown', ohm: null, uOhm: null },
      set: { value: 1, from: 'operator' },
    },
    now: null,
    zero: { counts: 2050.2, uCounts: 0.1, fileCounts: 2048, from: 'lifted jockey' },
    guidance: { lengthCm: 743.2, withinCm: 1.5, row: 8, scaleCm: 56.8, moveCm: -3.2, basis: 'coarse-null' },
    endsTried: [{ cell: 1, a: true, b: true }],
    keyOpen: false,
    wireCurrentS: { now: 95, total: 240 },
    nulls: [
      sampleNull({ id: 'n1', lengthCm: 743.21 }),
      sampleNull({ id: 'n2', lengthCm: 621.7, cell: 2, row: 7, scaleCm: 21.7, atS: 61 }),
    ],
    work: sampleComparison([sampleSet]),
    referenceCells: [],
    working: null,
    stream: { samples: 12000, badLines: 0, lostSamples: 0, boots: 1 },
    findings: [
      {
        code: 'too-few-sets',
        severity: 'note',
        ...message('one-set-only'),
      },
    ],
    events: [],
    durationS: 65,
    ...changes,
  };
}
