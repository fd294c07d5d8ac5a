import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import { type NullTrial, nullTrial } from './null-run.ts';
import type { NullScene } from './null-scenes.ts';

export interface NullSummary {
  found: number;
  /** Root mean square of error over bound, each run against its own bound. */
  overBound: number;
  /** Share of runs whose interval of 1.96 uRead holds the truth. */
  coverage: number;
  naiveOverOurs: number;
}

const rms = (values: number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

export function runScene(scene: NullScene, runs: number, formulas: Formulas): NullSummary {
  const trials = Array.from({ length: runs }, (_, index) => nullTrial(scene.draw(index + 1), formulas));
  const found = trials.filter((trial): trial is NullTrial & { errorCm: number } => trial.errorCm !== null);
  const held = found.filter((trial) => Math.abs(trial.errorCm) <= 1.96 * trial.uReadCm);
  const naive = trials.flatMap((trial) =>
    trial.naiveErrorCm === null ? [] : [trial.naiveErrorCm / trial.boundCm],
  );
  const overBound = rms(found.map((trial) => trial.errorCm / trial.boundCm));
  return {
    found: found.length,
    overBound,
    coverage: held.length / found.length,
    naiveOverOurs: rms(naive) / overBound,
  };
}
