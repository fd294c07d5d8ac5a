import { describe, expect, test } from 'vitest';
import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { Run } from '../../bridge/run/run.ts';
import type { RunView } from '../../bridge/run/view.ts';
import { type ScenePatch, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import type { Step } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { sweepSteps } from '../simulate/readings.ts';

/** What the bench can tell: the sensitivity at a null, and when it is no better than the eye on the scale. */

const formulas = await loadFormulas();

function viewOf(patch: ScenePatch, start: { protect: boolean }, cmPerS = 2.5): RunView {
  const scene = sceneWith(patch);
  const lengthCm = trueLengthCm(scene, { rheostatOhm: 4.1, ...start });
  if (lengthCm === null) throw new RangeError('no null on this wire');
  const { row, scaleCm } = placeOnWire(scene.bench.wire, lengthCm);
  const ends = { row, fromCm: scaleCm - 3.5, toCm: scaleCm + 3.5 };
  const pass = { secondsOfPasses: [7 / cmPerS, 7 / cmPerS], pauseS: 0.3, profile: 'steady' as const };
  const steps: Step[] = [
    { do: 'wait', seconds: 5 },
    ...sweepSteps({ ...ends, ...pass }),
    { do: 'wait', seconds: 2 },
  ];
  const fold = new Run({ formulas });
  const task = {
    kind: 'script' as const,
    procedure: 'emf-comparison' as const,
    start: { rheostatOhm: 4.1, ...start },
    steps,
  };
  for (const record of simulateRun({ ...scene, task })) fold.addRecord(record);
  return fold.view();
}

const codes = ({ findings }: RunView): string[] => findings.map(({ code }) => code);
const FINE = { protect: false };

describe('sensitivity', () => {
  test('at the null is the drop along a millimetre over the resistance of the branch', () => {
    const [null1] = viewOf({}, FINE).nulls;
    // 3.0612 V over 24.0958 ohm along 19.6 ohm in 10 m: 249 uV a mm; branch 118 + 0.42 ohm and the wire's own 5 ohm.
    expect(null1.sensitivityUaPerMm).toBeCloseTo(249 / 123.5, 1);
    expect(null1.smallestLengthCm).toBeCloseTo(2 * null1.uReadCm, 12);
    expect(null1.smallestLengthCm).toBeLessThan(0.02);
  });

  test('is no complaint of a coarse null, nor of a drifting driver', () => {
    expect(codes(viewOf({}, { protect: true }))).not.toContain('sensitivity-low');
    const drifting = viewOf({ apparatus: { driver: { driftPercentPerMin: -2 } } }, FINE);
    expect(drifting.nulls.length).toBe(2);
    expect(codes(drifting)).not.toContain('sensitivity-low');
  });
});
