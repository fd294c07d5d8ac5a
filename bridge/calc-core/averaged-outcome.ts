import { type FullKnowledge, PARTS_AS_STATED } from './assumed-sizes.ts';
import { type AveragedFit, averagedFit } from './averaged-fit.ts';
import type { SizeScenario } from './averaged-problem.ts';
import {
  varianceByColumns,
  varianceByEnd,
  varianceByScaled,
  varianceBySlips,
  type WorkedPart,
  workOutParts,
  workOutVariance,
} from './breakdown.ts';
import type { Matrix } from './cholesky.ts';
import { columnAt, columnsOf, type Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import type { NamedLength } from './length-effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import { halfWidth, moments, type NormalPart } from './mixture.ts';
import type { BudgetRow, Outcome } from './outcome.ts';
import { type MeasurementModel, propagate } from './propagate.ts';
import type { RatioSet } from './ratio-sets.ts';
import {
  type NamedScaled,
  type NamedSlip,
  type ScaledName,
  scaledEffects,
  sizeScenarios,
  slipsOf,
} from './scaled-effects.ts';
import { roundedWeights } from './weights.ts';

/** From sets to an outcome by averaging over models: what both procedures share. */

export interface OutcomeOptions {
  formulas: Formulas;
  /** Share of the interval; 0.95 unless stated. */
  coverage?: number;
  /** Seed of the Monte Carlo check of the interval; without one there is no check. */
  seed?: number;
}

/** Sets of one procedure, ready to be averaged. The inputs are the lengths, then others such as loads; α comes after them. */
export interface AveragingTask {
  quantity: Pick<Outcome, 'quantity' | 'unit'>;
  sets: readonly (RatioSet & { set: number })[];
  lengths: readonly NamedLength[];
  /** Every effect of known size, with columns over the inputs. */
  effects: readonly Effect[];
  inputs: readonly { symbol: string; estimate: number }[];
  bench: FullKnowledge;
  /** The measurement model as text, and the names of the sets' weights in it. */
  formula: string;
  weightNames: readonly string[];
  method: Message;
  /** What the result is made of θ; θ itself unless stated. */
  conversion?: Conversion;
}

/** The result as a function of θ and one more input. */
export interface Conversion {
  value(theta: number): number;
  rate(theta: number): number;
  input: Effect;
  /** The formula of the result around that of θ. */
  formula(theta: string): string;
  /** Change of the result for each unit of the input. */
  byInput(theta: number): number;
}

/** A fit with the names of what was averaged over. */
export interface NamedFit extends AveragedFit {
  scaled: readonly NamedScaled[];
  slips: readonly NamedSlip[];
  worked: readonly WorkedPart[];
  /** How many inputs the columns run over. */
  inputs: number;
}

/** Null where nothing weighs the sets. */
export function averageSets(task: AveragingTask): NamedFit | null {
  const size = task.inputs.length;
  const scaled = scaledEffects(task.lengths, task.bench);
  const slips = slipsOf(task.sets, task.lengths, size);
  const fit = averagedFit({
    sets: task.sets,
    columns: task.effects.flatMap(({ columns }) => columns),
    scaled,
    scenarios: sizeScenarios(task.bench),
    endCorrection: task.bench.endCorrection,
    slips,
  });
  return fit && { ...fit, scaled, slips, worked: workOutParts(fit), inputs: size };
}

/** Covariance of the inputs in a scenario, without slips and end correction. */
export function inputCovariance(
  task: AveragingTask,
  scaled: readonly NamedScaled[],
  { factors }: SizeScenario,
): Matrix {
  const indexes = task.inputs.map((_, index) => index);
  const columns = task.effects.flatMap((effect) => effect.columns);
  return indexes.map((a) =>
    indexes.map((b) => {
      const known = columns.reduce((sum, column) => sum + column[a] * column[b], 0);
      return scaled.reduce(
        (sum, { covariance }, which) => sum + factors[which] ** 2 * covariance(a, b),
        known,
      );
    }),
  );
}

/** GUM 5.1.2 for the budget, GUM 6 for the interval, both of the average over models. */
export function outcomeOf(
  task: AveragingTask,
  fit: NamedFit,
  { coverage = 0.95, formulas }: OutcomeOptions,
): Outcome {
  const parts = convertedParts(task, fit);
  const { mean: value, within, between } = moments(parts);
  const u = Math.sqrt(within + between);
  const U = halfWidth(parts, value, coverage);
  const model = singleModel(task, fit, formulas);
  const single = propagate(model);
  return {
    ...task.quantity,
    value,
    u,
    dof: null,
    intervalBy: 'model-average',
    k: U / u,
    U,
    coverage,
    model: 2,
    atS: middleS(task),
    method: task.method,
    formula: model.formula.text,
    mathMl: model.formula.mathMl(),
    constants: { ...model.constants },
    singleModel: { value: single.value, u: single.u, probability: fit.parts[0].weight },
    budget: budgetOf(task, fit, within, between),
  };
}

function middleS({ lengths }: AveragingTask): number | null {
  const times = lengths.flatMap(({ length }) => length.atS ?? []);
  return times.length < lengths.length ? null : (Math.min(...times) + Math.max(...times)) / 2;
}

function convertedParts({ conversion }: AveragingTask, { parts }: NamedFit): NormalPart[] {
  if (conversion === undefined) return parts;
  return parts.map(({ weight, mean, variance }) => ({
    weight,
    mean: conversion.value(mean),
    variance:
      variance * conversion.rate(mean) ** 2 +
      (conversion.byInput(mean) * conversion.input.standardUncertainty) ** 2,
  }));
}

/** The most probable model as a formula of its own: what can be worked by hand. */
function singleModel(task: AveragingTask, fit: NamedFit, formulas: Formulas): MeasurementModel {
  const [{ part, weights }] = fit.worked;
  const prior = fit.problem.endCorrection[part.endPart];
  const rounded = roundedWeights(weights);
  const { conversion } = task;
  const inputs = [...task.inputs, { symbol: 'alpha', estimate: prior.mean }];
  const effects = [
    ...task.effects,
    ...fit.scaled.map((scaled, which) => scaledEffect(scaled, part.scenario.factors[which], task)),
    ...part.slips.map(({ slip, size }) => slipEffect(fit.slips[slip], fit.slips[slip].sizes[size].u)),
    endEffect(task, prior.mean, Math.sqrt(prior.variance)),
  ];
  const constants = Object.fromEntries(task.weightNames.map((name, index) => [name, rounded[index]]));
  if (conversion === undefined)
    return { formula: formulas.compile(task.formula), inputs, constants, effects };
  const { symbol, estimate } = conversion.input;
  return {
    formula: formulas.compile(conversion.formula(task.formula)),
    inputs: [...inputs, { symbol, estimate }],
    constants,
    effects: [...effects, conversionEffect(task, conversion)],
  };
}

const conversionEffect = ({ inputs }: AveragingTask, { input }: Conversion): Effect => ({
  ...input,
  columns: [columnAt(inputs.length + 2, inputs.length + 1, input.standardUncertainty)],
});

const endEffect = ({ inputs, bench }: AveragingTask, estimate: number, u: number): Effect => ({
  symbol: 'alpha',
  meaning: message(bench.assumed.has('endCorrection') ? 'row-end-assumed' : 'row-end-correction'),
  estimate,
  unit: 'cm',
  standardUncertainty: u,
  distribution: 'normal',
  dof: Number.POSITIVE_INFINITY,
  columns: [columnAt(inputs.length + 1, inputs.length, u)],
});

/** What the rows of the scaled effects are called. */
export const SCALED_MEANINGS: Readonly<Record<ScaledName, Message>> = {
  walk: message('row-walk'),
  rows: message('row-rows'),
  cells: message('row-cells'),
};

const SCALED_ROWS = {
  walk: { symbol: 'd_walk', unit: '1', base: (bench: FullKnowledge) => bench.uniformityRelative },
  rows: { symbol: 'd_rows', unit: '1', base: (bench: FullKnowledge) => bench.rowSpreadRelative },
  cells: {
    symbol: 'd_cells',
    unit: '1/min',
    base: (bench: FullKnowledge) => Math.max(bench.steadyRelativePerMin[1], bench.steadyRelativePerMin[2]),
  },
} as const;

function scaledEffect(scaled: NamedScaled, factor: number, task: AveragingTask): Effect {
  const indexes = task.lengths.map((_, index) => index);
  const covariance = indexes.map((a) => indexes.map((b) => factor ** 2 * scaled.covariance(a, b)));
  const { symbol, unit, base } = SCALED_ROWS[scaled.name];
  const beyond = new Array<number>(task.inputs.length + 1 - task.lengths.length).fill(0);
  return {
    symbol,
    meaning: SCALED_MEANINGS[scaled.name],
    estimate: 0,
    unit,
    standardUncertainty: factor * base(task.bench),
    distribution: 'normal',
    dof: Number.POSITIVE_INFINITY,
    columns: (columnsOf(covariance) ?? []).map((column) => [...column, ...beyond]),
  };
}

const slipEffect = (slip: NamedSlip, u: number): Effect => ({
  symbol: slip.name === 'jump' ? `d_jump_${slip.afterSet}` : `d_slip_${slip.set}`,
  meaning: message('row-slips'),
  estimate: 0,
  unit: slip.name === 'jump' ? '1' : 'cm',
  standardUncertainty: u,
  distribution: 'normal',
  dof: Number.POSITIVE_INFINITY,
  columns: [slip.column.map((step) => step * u)],
});

/** What the contributions of a budget are worked out from. */
interface VarianceSource {
  fit: NamedFit;
  parts: readonly WorkedPart[];
  /** Change of the result for each unit of θ. */
  rate: number;
}

/** A row for each effect, averaged over the models; and one for what differs between them. The rows add up to u. */
function budgetOf(task: AveragingTask, fit: NamedFit, within: number, between: number): BudgetRow[] {
  const { bench, conversion } = task;
  const rate = conversion === undefined ? 1 : Math.abs(conversion.rate(fit.theta));
  const source: VarianceSource = { fit, parts: workOutVariance(fit), rate };
  const rows = [
    ...task.effects.map((effect) => knownRow(effect, source, bench)),
    ...fit.scaled.map((scaled, which) => scaledRow(scaled, which, task, source)),
    slipRow(source),
    endRow(task, source),
  ].filter(({ symbol, contribution }) => !symbol.startsWith('d_') || contribution > 0);
  const converted = conversion === undefined ? [] : [conversionRow(conversion, fit.theta)];
  // Only the models that hold most of the variance are worked out in full, so their rows are brought to the whole of it.
  const factor = Math.sqrt(Math.max(0, within - squaresOf(converted)) / (squaresOf(rows) || 1));
  return [...rows.map((row) => scaleRow(row, factor)), ...converted, modelsRow(Math.sqrt(between))];
}

const squaresOf = (rows: readonly BudgetRow[]): number =>
  rows.reduce((sum, { contribution }) => sum + contribution ** 2, 0);

const scaleRow = (row: BudgetRow, factor: number): BudgetRow => ({
  ...row,
  sensitivity: row.sensitivity * factor,
  contribution: row.contribution * factor,
});

function rowOf(
  effect: Pick<
    Effect,
    'symbol' | 'meaning' | 'estimate' | 'unit' | 'standardUncertainty' | 'distribution' | 'dof'
  >,
  contribution: number,
  assumed: boolean,
): BudgetRow {
  const { symbol, meaning, estimate, unit, standardUncertainty, distribution, dof } = effect;
  return {
    symbol,
    meaning,
    estimate,
    unit,
    standardUncertainty,
    distribution,
    sensitivity: standardUncertainty > 0 ? contribution / standardUncertainty : 0,
    contribution,
    dof: Number.isFinite(dof) ? dof : null,
    assumed,
  };
}

const ASSUMABLE_ROWS: Readonly<
  Record<string, 'position' | 'turnCorrectionCm' | 'thermalEmfUv' | 'uniformityRelative'>
> = {
  d_taper: 'uniformityRelative',
  d_position: 'position',
  d_turns: 'turnCorrectionCm',
  d_thermal: 'thermalEmfUv',
};

function knownRow(effect: Effect, { fit, parts, rate }: VarianceSource, bench: FullKnowledge): BudgetRow {
  const stated = ASSUMABLE_ROWS[effect.symbol];
  const contribution = rate * Math.sqrt(varianceByColumns(parts, fit, effect.columns));
  return rowOf(effect, contribution, stated !== undefined && bench.assumed.has(stated));
}

function scaledRow(
  scaled: NamedScaled,
  which: number,
  task: AveragingTask,
  { fit, parts, rate }: VarianceSource,
): BudgetRow {
  const { symbol, unit, base } = SCALED_ROWS[scaled.name];
  const square = fit.worked.reduce(
    (sum, { part }) => sum + part.weight * part.scenario.factors[which] ** 2,
    0,
  );
  return rowOf(
    {
      symbol,
      meaning: SCALED_MEANINGS[scaled.name],
      estimate: 0,
      unit,
      standardUncertainty: Math.sqrt(square) * base(task.bench),
      distribution: 'normal',
      dof: Number.POSITIVE_INFINITY,
    },
    rate * Math.sqrt(varianceByScaled(parts, fit, which)),
    task.bench.assumed.has(scaled.stated),
  );
}

const slipRow = ({ fit, parts, rate }: VarianceSource): BudgetRow => {
  const contribution = rate * Math.sqrt(varianceBySlips(parts, fit));
  return rowOf(lumpedRow('d_slips', message('row-slips'), contribution), contribution, true);
};

const modelsRow = (contribution: number): BudgetRow =>
  rowOf(lumpedRow('d_models', message('row-models'), contribution), contribution, false);

/** A row that is told in the result's own unit. */
const lumpedRow = (symbol: string, meaning: Message, u: number) => ({
  symbol,
  meaning,
  estimate: 0,
  unit: '1',
  standardUncertainty: u,
  distribution: 'normal' as const,
  dof: Number.POSITIVE_INFINITY,
});

function endRow(task: AveragingTask, { fit, parts, rate }: VarianceSource): BudgetRow {
  const prior = fit.problem.endCorrection[fit.worked[0].part.endPart];
  const effect = endEffect(task, prior.mean, Math.sqrt(prior.variance));
  return rowOf(effect, rate * Math.sqrt(varianceByEnd(parts, fit)), task.bench.assumed.has('endCorrection'));
}

const conversionRow = ({ input, byInput }: Conversion, theta: number): BudgetRow =>
  rowOf(input, Math.abs(byInput(theta)) * input.standardUncertainty, false);

/** What the sets and the prior say of the end correction, in cm. */
export function endCorrectionOf({ parts }: AveragedFit): { value: number; u: number } {
  const { mean, within, between } = moments(
    parts.map(({ weight, alphaCm, alphaVariance }) => ({ weight, mean: alphaCm, variance: alphaVariance })),
  );
  return { value: mean, u: Math.sqrt(within + between) };
}

/** Probability that the bench file's end correction holds. */
export const endStatementHolds = ({ parts }: AveragedFit): number =>
  parts.reduce((sum, { weight, endPart }) => sum + (endPart < PARTS_AS_STATED ? weight : 0), 0);
