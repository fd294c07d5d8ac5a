import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { type NullTrial, nullTrial } from './null-run.ts';
import type { NullScene } from './null-scenes.ts';

export interface NullSummary {
  scene: NullScene;
  runs: number;
  found: number;
  /** Root mean square of error over bound, each run against its own bound. */
  overBound: number;
  coverage: Coverage;
  /** The same for the upper and the lower decade of sensitivity. */
  byDecade: [Coverage, Coverage];
  naiveOverOurs: number;
  /** Errors over their own bound, of the runs that found a length. */
  errorsOverBound: number[];
}

/** How many intervals of 1.96 uRead hold the truth. */
export interface Coverage {
  held: number;
  of: number;
}

type Found = NullTrial & { errorCm: number; scene: Scene };

const rms = (values: number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

const coverageOf = (trials: readonly Found[]): Coverage => ({
  held: trials.filter(({ errorCm, uReadCm }) => Math.abs(errorCm) <= 1.96 * uReadCm).length,
  of: trials.length,
});

/** Galvanometers of the study lie between 30 and 3,000 ohm: this one parts the decades. */
const MIDDLE_OHM = 300;

export function runScene(scene: NullScene, runs: number, formulas: Formulas): NullSummary {
  const trials = Array.from({ length: runs }, (_, index) => {
    const drawn = scene.draw(index + 1);
    return { ...nullTrial(drawn, formulas), scene: drawn };
  });
  const found = trials.filter((trial): trial is Found => trial.errorCm !== null);
  const naive = trials.flatMap((trial) =>
    trial.naiveErrorCm === null ? [] : [trial.naiveErrorCm / trial.boundCm],
  );
  const errorsOverBound = found.map((trial) => trial.errorCm / trial.boundCm);
  const overBound = rms(errorsOverBound);
  const high = (trial: Found) => trial.scene.apparatus.galvanometerOhm < MIDDLE_OHM;
  return {
    scene,
    runs,
    found: found.length,
    overBound,
    coverage: coverageOf(found),
    byDecade: [coverageOf(found.filter(high)), coverageOf(found.filter((trial) => !high(trial)))],
    naiveOverOurs: rms(naive) / overBound,
    errorsOverBound,
  };
}

export const percent = ({ held, of }: Coverage): string => `${((100 * held) / of).toFixed(1)} %`;
