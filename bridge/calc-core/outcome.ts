import type { Message } from './message.ts';

/** What the calculations answer. Everything in it is plain data, fit for JSON. */

export type Distribution = 'normal' | 'rectangular' | 't' | 'triangular';

/** One row of an uncertainty budget (GUM clause 4, 5 and annex H). */
export interface BudgetRow {
  /** Symbol in the formula, such as `l_1_2` or `alpha`. */
  symbol: string;
  /** What it is. */
  meaning: Message;
  estimate: number;
  unit: string;
  standardUncertainty: number;
  distribution: Distribution;
  /** Change of the result for each unit of the input. */
  sensitivity: number;
  /** |sensitivity| times standardUncertainty, in the unit of the result. */
  contribution: number;
  /** Degrees of freedom; null stands for infinity (JSON has no word for it). */
  dof: number | null;
  /** Nobody stated it of this bench: an ordinary size stands in. */
  assumed: boolean;
}

/** One model of those that were averaged, the most probable: what the formula gives, worked by hand. */
export interface SingleModel {
  value: number;
  u: number;
  /** Its share of the average. */
  probability: number;
}

/** A result with its expanded uncertainty at the coverage stated: value ± U. */
export interface Outcome {
  quantity: 'E1/E2' | 'r' | 'E1' | 'E2';
  unit: '1' | 'ohm' | 'V';
  value: number;
  /** Combined standard uncertainty. */
  u: number;
  /** Null: an average over models has no degrees of freedom. */
  dof: null;
  /** What the interval comes from: the smallest half-width that holds the coverage of the average over models. */
  intervalBy: 'model-average';
  /** Coverage factor U/u. */
  k: number;
  /** Expanded uncertainty: value ± U holds the coverage. */
  U: number;
  coverage: number;
  /** Version of the measurement model: 1 adopted one fit, 2 averages over models. */
  model: 2;
  /** Board time in seconds of the middle of the lengths used, for which the EMFs are averaged; null where times are not known. */
  atS: number | null;
  /** How it was worked out, in one sentence for the record. */
  method: Message;
  /** The measurement model as text that mathjs parses. */
  formula: string;
  /** The same as MathML, made by the calculation: nothing of a recording is in it. */
  mathMl: string;
  /** Numbers of the formula that carry no uncertainty: the weights of the sets, as they were used. */
  constants: Record<string, number>;
  /** What `formula` gives with `constants`: the most probable model alone. */
  singleModel: SingleModel;
  budget: BudgetRow[];
}

/** The same by the book, shown beside the adopted outcome. */
export interface PlainMean {
  mean: number;
  /** Experimental standard deviation of the ratios; null for a single set. */
  standardDeviation: number | null;
  n: number;
}

export interface SetRatio {
  set: number;
  ratio: number;
  uRatio: number;
}

/** Monte Carlo check of the interval (JCGM 101, clause 8). */
export interface IntervalCheck {
  trials: number;
  low: number;
  high: number;
  /** Numerical tolerance of clause 7.9.2 that the ends were compared with. */
  tolerance: number;
  agrees: boolean;
}

export interface ComparisonOutcome {
  sets: SetRatio[];
  byTheBook: PlainMean | null;
  /** Null where the sets do not allow one; `faults` says why. */
  result: Outcome | null;
  endCorrectionCm: { value: number; u: number } | null;
  check: IntervalCheck | null;
  faults: CalculationFault[];
}

export interface LoadResistance {
  set: number;
  /** Tells the loads of one set apart. */
  loadOhm: number;
  rOhm: number;
  uROhm: number;
}

/** The line l0/l - 1 against 1/R: its slope is r, and it passes through the origin where the method holds. */
export interface LoadLine {
  slopeOhm: number;
  uSlopeOhm: number;
  intercept: number;
  uIntercept: number;
  points: { set: number; perOhm: number; uPerOhm: number; excess: number; uExcess: number }[];
}

/** Change of the open cell's EMF from set to set, from l0 times the driver current: a cell at work polarises. */
export interface Polarisation {
  /** Relative change per set. */
  perSet: number;
  uPerSet: number;
}

export interface InternalResistanceOutcome {
  sets: LoadResistance[];
  /** Null for fewer than two different loads. */
  line: LoadLine | null;
  /** Null for fewer than two sets or where the driver current is not measured. */
  polarisation: Polarisation | null;
  byTheBook: PlainMean | null;
  result: Outcome | null;
  endCorrectionCm: { value: number; u: number } | null;
  check: IntervalCheck | null;
  faults: CalculationFault[];
}

/** Why a calculation could not be done, or what it lacked; becomes a finding of the run. */
export interface CalculationFault extends Message {
  code:
    | 'too-few-sets'
    | 'sets-senseless'
    | 'end-correction-significant'
    | 'budget-row-absent'
    | 'row-uneven'
    | 'cell-changed'
    | 'set-outlying'
    | 'result-outside-sets'
    | 'bench-file-contradicted';
  /** Where it is graver than its code is by itself. */
  severity?: 'stop' | 'warn' | 'note';
}
