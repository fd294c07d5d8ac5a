import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { Run } from '../../bridge/run/run.ts';
import { COMPARISON, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { spanOf, truthOf } from '../../bridge/simulate/truth.ts';

/** Runs on a board without a position sensor, whose student reads the scale and says the lengths. */

const formulas = await loadFormulas();

const NOTHING = { contact: false, cellKey: false, protect: false, row: false, load: false };

function runOf(seed: number, driftPercentPerMin: number) {
  const scene = sceneWith({
    seed,
    apparatus: { driver: { driftPercentPerMin } },
    board: { senses: NOTHING, channels: { pos: null } },
    hand: { eyeUa: 0.1 },
    task: { ...COMPARISON, passes: 1, recordsLengths: true },
  });
  const fold = new Run({ formulas });
  for (const record of simulateRun(scene)) fold.addRecord(record);
  fold.end();
  const view = fold.view();
  return { view, ratio: truthOf(scene, spanOf(view.nulls)).ratio };
}

const SEEDS = Array.from({ length: 12 }, (_, index) => index + 1);

test.each([-0.04, -0.3])(
  'lengths read by eye are brought to one current where the board measures it: driver at %f % a minute',
  (drift) => {
    const runs = SEEDS.map((seed) => runOf(seed, drift));
    const held = runs.filter(({ view, ratio }) => {
      const result = view.work.outcome?.result;
      return result != null && Math.abs(result.value - ratio) < result.U;
    });
    // 95 of 100 should; of twelve, fewer than ten would come about once in fifty times.
    expect(held.length).toBeGreaterThanOrEqual(10);
    const [{ view }] = runs;
    expect(view.nulls.every(({ by, used }) => by === 'eye' && used)).toBe(true);
    expect(view.work.sets[0].driverMa).toBeCloseTo(144, 0);
    expect(view.findings.some(({ code }) => code === 'driver-drift')).toBe(Math.abs(drift) > 0.1);
  },
);
