import { type AveragingTask, inputCovariance, type NamedFit } from './averaged-outcome.ts';
import type { FittedPart, SizeScenario } from './averaged-problem.ts';
import { workOut } from './breakdown.ts';
import { columnsOf } from './effects.ts';
import { monteCarlo, numericalTolerance } from './monte-carlo.ts';
import type { IntervalCheck, Outcome } from './outcome.ts';
import { type Draw, randomDraws } from './random-draws.ts';

/** Value ± U is symmetric and the trials' interval need not be: what their ends may differ by, as a share of U. */
const ALLOWED = 0.1;
/** Chance must move the trials' ends by less than a fifth of that. */
const SETTLED = ALLOWED / 5;

/**
 * Propagation of distributions (JCGM 101, clause 8) through the averaged models as they are, nothing made linear: it checks the
 * interval's ends and changes nothing. Each trial picks a model by its probability, draws every input and the end correction, and
 * works the model's formula.
 */
export function checkInterval(
  task: AveragingTask,
  fit: NamedFit,
  { value, u, U, coverage }: Outcome,
  seed: number,
): IntervalCheck {
  const draws = randomDraws(seed);
  const trial = trialsOf(task, fit, draws.normal, draws.uniform);
  const { trials, low, high, noise } = monteCarlo(trial, coverage, () => SETTLED * U);
  // of the average's own u: that of the trials has no bound where a length is hugely uncertain
  const tolerance = numericalTolerance(u, 2);
  const off = Math.max(Math.abs(value - U - low), Math.abs(value + U - high));
  return { trials, low, high, tolerance, agrees: off <= Math.max(tolerance + noise, ALLOWED * U) };
}

function trialsOf(task: AveragingTask, fit: NamedFit, normal: Draw, uniform: Draw): () => number {
  const pick = picker(fit.parts, uniform);
  const models = new Map<FittedPart, () => number>();
  const columns = columnsByScenario(task, fit);
  const { conversion } = task;
  return () => {
    const part = pick();
    const model = models.get(part) ?? modelOf(task, fit, part, columns(part.scenario), normal);
    models.set(part, model);
    const theta = model();
    if (conversion === undefined) return theta;
    const { input } = conversion;
    return conversion.value(theta) + conversion.byInput(theta) * input.standardUncertainty * normal();
  };
}

/** Picks by weight: halving a table of running sums. */
function picker(parts: readonly FittedPart[], uniform: Draw): () => FittedPart {
  let sum = 0;
  const upTo = parts.map(({ weight }) => {
    sum += weight;
    return sum;
  });
  return () => {
    const at = uniform() * sum;
    let [low, high] = [0, parts.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (upTo[middle] < at) low = middle + 1;
      else high = middle;
    }
    return parts[low];
  };
}

/** Columns over the inputs of everything but slips and the end correction, for a scenario; kept, since scenarios come again. */
function columnsByScenario(task: AveragingTask, fit: NamedFit): (scenario: SizeScenario) => number[][] {
  const kept = new Map<SizeScenario, number[][]>();
  return (scenario) => {
    const columns = kept.get(scenario) ?? columnsOf(inputCovariance(task, fit.scaled, scenario)) ?? [];
    kept.set(scenario, columns);
    return columns;
  };
}

/** One model: θ from inputs that are drawn anew each time, by Σ w·(upper + α - ρ(θ)·(lower + α)) = 0. */
function modelOf(
  task: AveragingTask,
  fit: NamedFit,
  part: FittedPart,
  columns: readonly number[][],
  normal: Draw,
): () => number {
  const { weights } = workOut(fit, part);
  const prior = fit.problem.endCorrection[part.endPart];
  const slips = part.slips.map(({ slip, size }) => ({
    column: fit.slips[slip].column,
    u: fit.slips[slip].sizes[size].u,
  }));
  const moved = new Float64Array(task.inputs.length);
  const add = (column: readonly number[], size: number) => {
    for (let index = 0; index < moved.length; index += 1) moved[index] += size * column[index];
  };
  return () => {
    moved.fill(0);
    for (const column of columns) add(column, normal());
    for (const { column, u } of slips) add(column, u * normal());
    const alphaCm = prior.mean + Math.sqrt(prior.variance) * normal();
    return thetaFrom(task, weights, moved, alphaCm);
  };
}

function thetaFrom(
  { sets }: AveragingTask,
  weights: readonly number[],
  moved: Float64Array,
  alphaCm: number,
): number {
  let [over, under] = [0, 0];
  for (let index = 0; index < sets.length; index += 1) {
    const { upper, lower, upperAt, lowerAt, offset, slope, slopeRate, thirdAt } = sets[index];
    const lowerCm = lower + moved[lowerAt] + alphaCm;
    const rate = slopeRate === 0 ? slope : slope + slopeRate * moved[thirdAt];
    over += weights[index] * (upper + moved[upperAt] + alphaCm - offset * lowerCm);
    under += weights[index] * rate * lowerCm;
  }
  return over / under;
}
