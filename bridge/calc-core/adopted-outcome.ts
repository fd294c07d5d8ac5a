import type { AdoptedFit } from './adopted-fit.ts';
import { type BenchKnowledge, priorEndCorrection } from './balancing-length.ts';
import { dot } from './cholesky.ts';
import { columnAt, type Effect } from './effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import { monteCarlo, numericalTolerance } from './monte-carlo.ts';
import type { CalculationFault, IntervalCheck, Outcome } from './outcome.ts';
import { type MeasurementModel, propagate } from './propagate.ts';
import { coverageFactor } from './student.ts';

/** From the model of a fit to the outcome: what both procedures share. */

export interface OutcomeOptions {
  /** Share of the interval; 0.95 unless stated. */
  coverage?: number;
  /** Seed of the Monte Carlo check of the interval (some tenths of a second); without one there is no check. */
  seed?: number;
}

export const endCorrectionEffect = (at: number, priorCm: number, bench: BenchKnowledge): Effect => ({
  symbol: 'alpha',
  meaning: message('row-end-correction'),
  estimate: priorEndCorrection(bench).valueCm,
  unit: 'cm',
  standardUncertainty: priorCm,
  distribution: 'normal',
  dof: Number.POSITIVE_INFINITY,
  columns: [columnAt(at + 1, at, priorCm)],
});

export function scatterEffects({ scatterColumns, scatterDof }: AdoptedFit): Effect[] {
  if (scatterColumns.length === 0) return [];
  const squares = scatterColumns.reduce((sum, column) => sum + dot(column, column), 0);
  return [
    {
      symbol: 'd_scatter',
      meaning: message('row-scatter'),
      estimate: 0,
      unit: 'cm',
      standardUncertainty: Math.sqrt(squares / scatterColumns.length),
      distribution: 't',
      dof: scatterDof,
      columns: scatterColumns,
    },
  ];
}

/** From here on Student's t is the normal distribution to six digits, and the number itself says nothing. */
const ENDLESS_DOF = 1e6;

/** GUM 5.1.2, G.4.1, G.6.4; then JCGM 101 clause 8, whose interval replaces the other where the ends differ. */
export function outcomeOf(
  quantity: Pick<Outcome, 'quantity' | 'unit'>,
  model: MeasurementModel,
  method: Message,
  { coverage = 0.95, seed }: OutcomeOptions,
): { result: Outcome; check: IntervalCheck | null } {
  const { value, u, dof, budget } = propagate(model);
  const k = coverageFactor(coverage, dof);
  const result: Outcome = {
    ...quantity,
    value,
    u,
    dof: dof < ENDLESS_DOF ? dof : null,
    intervalBy: 'student',
    k,
    U: k * u,
    coverage,
    method,
    formula: model.formula.text,
    mathMl: model.formula.mathMl(),
    constants: { ...model.constants },
    budget,
  };
  return seed === undefined ? { result, check: null } : checked(result, model, seed);
}

function checked(result: Outcome, model: MeasurementModel, seed: number) {
  const { trials, low, high, noise } = monteCarlo(model, result.coverage, seed);
  // of the framework's own u: that of the trials has no bound where an uncertainty is known from two or three readings
  const tolerance = numericalTolerance(result.u, 2);
  const offLow = Math.abs(result.value - result.U - low);
  const offHigh = Math.abs(result.value + result.U - high);
  // the trials' own noise is no difference
  const agrees = Math.max(offLow, offHigh) <= tolerance + noise;
  const check: IntervalCheck = { trials, low, high, tolerance, agrees };
  if (agrees) return { result, check };
  const U = Math.max(high - result.value, result.value - low);
  const method = message('method-monte-carlo', {
    method: result.method,
    trials,
    tolerance: tolerance.toPrecision(1),
  });
  const widened: Outcome = { ...result, intervalBy: 'monte-carlo', U, k: U / result.u, method };
  return { result: widened, check };
}

const twoDigits = (cm: number): string => String(Number(cm.toPrecision(2)));

/**
 * What a fit has to say to the people at the bench.
 * @param numbers of the sets, in the order of the fit
 * @param otherwise what a result without the end correction comes to
 */
export function fitFaults(
  fit: AdoptedFit,
  numbers: readonly number[],
  bench: BenchKnowledge,
  otherwise: Message,
): CalculationFault[] {
  const faults: CalculationFault[] = [];
  if (fit.widening > 1) {
    const times = fit.widening.toFixed(1);
    const said =
      fit.apart === null
        ? message('sets-scatter', { times })
        : message('sets-scatter-but-one', { times, set: numbers[fit.apart] });
    faults.push({ code: 'ratios-scatter', ...said });
  }
  const { valueCm, standardUncertaintyCm } = priorEndCorrection(bench);
  const found = { cm: fit.alpha.toFixed(2), uCm: twoDigits(fit.uAlpha) };
  if (fit.priorWidened) {
    const stated = { fileCm: String(valueCm), fileUCm: String(standardUncertaintyCm) };
    const said = message('end-correction-contradicts', { ...found, ...stated });
    faults.push({ code: 'end-correction-significant', severity: 'warn', ...said });
  } else if (Math.abs(fit.alpha) > 2 * fit.uAlpha) {
    const said = message('end-correction-counts', { ...found, otherwise });
    faults.push({ code: 'end-correction-significant', ...said });
  }
  return faults;
}
