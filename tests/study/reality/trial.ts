import { compareEmfs } from '../../../bridge/calc-core/comparison.ts';
import type { Formulas } from '../../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../../bridge/calc-core/internal-resistance.ts';
import { reportedRun } from '../../../bridge/report/read-run.ts';
import { reportJson } from '../../../bridge/report/report-json.ts';
import { fingerprintOf, foldText } from '../../independent-recordings/fold-text.ts';
import { type Alarm, alarmOf, isThere, namesCause } from './alarms.ts';
import { meanOver } from './cells.ts';
import type { Experiment, Reality } from './experiment.ts';
import type { LoadExperiment } from './load-experiment.ts';
import type { SampledExperiment } from './sampled-experiment.ts';

/** One run through the program, held against its truth. */

export interface Trial {
  /** Adopted value and plain mean against the truth, relative to it; null without a result. */
  error: number | null;
  plainError: number | null;
  relativeU: number | null;
  held: boolean;
  /** The interval misses, and no finding of severity warn or stop names a cause that is there. */
  unflagged: boolean;
  /** A finding of severity warn or stop names what is not there. */
  falseAlarm: boolean;
  alarms: readonly string[];
  reality: Reality;
}

export interface Answer {
  value: number;
  U: number;
}

export function judged(
  truth: number,
  answer: Answer | null,
  plain: number | null,
  found: readonly Alarm[],
  reality: Reality,
): Trial {
  const alarms = found.filter(namesCause);
  const relativeU = answer === null ? null : answer.U / Math.abs(truth);
  const isTrue = ({ code }: Alarm) => isThere(code, reality, relativeU ?? 0);
  const held = answer !== null && Math.abs(answer.value - truth) <= answer.U;
  return {
    error: answer === null ? null : answer.value / truth - 1,
    plainError: plain === null ? null : plain / truth - 1,
    relativeU,
    held,
    unflagged: answer !== null && !held && !alarms.some(isTrue),
    falseAlarm: alarms.some((alarm) => !isTrue(alarm)),
    alarms: alarms.map(({ code }) => code),
    reality,
  };
}

export function comparedTrial(experiment: Experiment, formulas: Formulas): Trial {
  const { sets, bench, truth, reality } = experiment;
  const { result, byTheBook, faults } = compareEmfs(sets, bench, { formulas });
  return judged(truth, result, byTheBook?.mean ?? null, faults.map(alarmOf), reality);
}

export function loadedTrial(experiment: LoadExperiment, formulas: Formulas): Trial {
  const { sets, bench, truth, reality } = experiment;
  const { result, byTheBook, faults } = internalResistance(sets, bench, { formulas });
  return judged(truth, result, byTheBook?.mean ?? null, faults.map(alarmOf), reality);
}

/** The way that `report --json` goes, from a recording's text. */
export function sampledTrial({ text, emf, realityOver }: SampledExperiment): Trial {
  const { result, byTheBook, findings, nulls } = reportJson(reportedRun(foldText(text), fingerprintOf(text)));
  const times = nulls.filter(({ used }) => used).map(({ atS }) => atS);
  const [fromS, toS] = [Math.min(...times), Math.max(...times)];
  const truth = meanOver(emf[1], fromS, toS) / meanOver(emf[2], fromS, toS);
  return judged(truth, result, byTheBook?.mean ?? null, findings, realityOver(fromS, toS));
}
