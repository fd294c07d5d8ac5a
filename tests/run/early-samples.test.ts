import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { Run } from '../../bridge/run/run.ts';
import type { LiveReading } from '../../bridge/run/view.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { sweepSteps } from '../simulate/readings.ts';

/** Samples that come before the board has said what it is, while another bench file comes into force. */

const formulas = await loadFormulas();

const scene = sceneWith({
  task: {
    kind: 'script',
    procedure: 'emf-comparison',
    start: { rheostatOhm: 4.1, protect: false },
    steps: [
      { do: 'wait', seconds: 1 },
      ...sweepSteps({ row: 6, fromCm: 40, toCm: 60, secondsOfPasses: [6], pauseS: 0.3, profile: 'steady' }),
    ],
  },
});
/** Twice as many microamperes a count, another ammeter, a wire that runs the other way. */
const other = {
  ...scene.bench,
  wire: { ...scene.bench.wire, zeroEnd: 'right' },
  galvanometer: { ...scene.bench.galvanometer, microampsPerCount: 0.1, zeroCounts: 2100 },
  ammeter: { ...scene.bench.ammeter, milliampsPerCount: 0.2 },
};
const CHANGED_AFTER_MS = 800;
const change: RecordLine = {
  ms: CHANGED_AFTER_MS,
  mark: '!',
  payload: JSON.stringify({ kind: 'bench', bench: other }),
};

/** All readings of a run whose bench changes after 0.8 s; `introduced` where the board is known from the start. */
function readingsOf(introduced: boolean): { readings: LiveReading[]; fold: Run } {
  const records = [...simulateRun(scene)];
  const introductions = records.filter(({ payload }) => /^[HC],/.test(payload));
  const rest = records.filter(({ payload }) => !/^[HC],/.test(payload));
  const from = rest.findIndex(({ ms }) => ms > CHANGED_AFTER_MS);
  const until = rest.findIndex(({ ms }) => ms > 4000);
  const changed = [...rest.slice(0, from), change];
  const fold = new Run({ formulas });
  const readings: LiveReading[] = [];
  const all = introduced
    ? [...introductions, ...changed, ...rest.slice(from)]
    : [...changed, ...rest.slice(from, until), ...introductions, ...rest.slice(until)];
  for (const record of all) fold.addRecord(record, (reading) => readings.push(reading));
  return { readings, fold };
}

test('are read by the bench that was in force when they came', () => {
  const held = readingsOf(false);
  const known = readingsOf(true);
  expect(held.readings).toHaveLength(known.readings.length);
  const before = held.readings.filter(({ atS }) => 1000 * atS < CHANGED_AFTER_MS - 50);
  expect(before.length).toBeGreaterThan(100);
  before.forEach((reading, index) => {
    const { currentUa, lengthCm, driverMa } = known.readings[index];
    expect(reading.driverMa).toBe(driverMa);
    expect(reading.lengthCm).toBe(lengthCm);
    // The zero is the bench file's until a lifted jockey has been seen, which is sooner where samples need not wait.
    expect(Math.abs((reading.currentUa ?? Number.NaN) - (currentUa ?? 0))).toBeLessThan(0.5);
  });
  const flowedS = ({ fold }: { fold: Run }) => fold.view().wireCurrentS?.total ?? Number.NaN;
  expect(flowedS(held)).toBeCloseTo(flowedS(known), 6);
});

test('until the next sample what is seen now is what the bench before it made of the last one', () => {
  const fold = new Run({ formulas });
  const records = [...simulateRun(scene)];
  for (const record of records.slice(0, 600)) fold.addRecord(record);
  const { now } = fold.view();
  expect(now?.currentUa).not.toBeNull();
  fold.addRecord({ ...change, ms: records[600].ms });
  expect(fold.view().now).toEqual(now);
});
