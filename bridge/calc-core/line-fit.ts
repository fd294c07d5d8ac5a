import { dot } from './cholesky.ts';

/** Straight lines y = intercept + slope·x by least squares. */

export interface Line {
  intercept: number;
  slope: number;
  uIntercept: number;
  uSlope: number;
  covariance: number;
  /** Sum of squared residuals, each divided by its standard uncertainty where there is one. */
  chiSquare: number;
  dof: number;
}

export interface LinePoint {
  x: number;
  y: number;
  /** Standard uncertainties; independent of each other. */
  ux: number;
  uy: number;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** Moments about the weighted mean: large offsets then cost no digits. */
function centredFit(x: readonly number[], y: readonly number[], weights: readonly number[]) {
  const whole = sum(weights);
  const meanX =
    x[0] +
    dot(
      weights,
      x.map((value) => value - x[0]),
    ) /
      whole;
  const meanY =
    y[0] +
    dot(
      weights,
      y.map((value) => value - y[0]),
    ) /
      whole;
  const u = x.map((value) => value - meanX);
  const v = y.map((value) => value - meanY);
  const weighted = u.map((value, index) => weights[index] * value);
  return { whole, meanX, meanY, u, v, sxx: dot(weighted, u), sxy: dot(weighted, v) };
}

function lineFrom(fit: { meanX: number; meanY: number }, slope: number, varSlope: number, varMean: number) {
  return {
    slope,
    intercept: fit.meanY - slope * fit.meanX,
    uSlope: Math.sqrt(varSlope),
    uIntercept: Math.sqrt(varMean + fit.meanX ** 2 * varSlope),
    covariance: -fit.meanX * varSlope,
  };
}

/**
 * Errors in y only, standard uncertainties `uy` known. Null for fewer than two different x.
 * Standard uncertainties come from `uy` alone, not from the scatter.
 */
export function weightedLine(x: readonly number[], y: readonly number[], uy: readonly number[]): Line | null {
  const weights = uy.map((u) => 1 / (u * u));
  if (x.length < 2 || !weights.every(Number.isFinite)) return null;
  const fit = centredFit(x, y, weights);
  if (!(fit.sxx > 0)) return null;
  const slope = fit.sxy / fit.sxx;
  const residuals = fit.v.map((value, index) => (value - slope * fit.u[index]) / uy[index]);
  const line = lineFrom(fit, slope, 1 / fit.sxx, 1 / fit.whole);
  return { ...line, chiSquare: dot(residuals, residuals), dof: x.length - 2 };
}

/** Ordinary least squares: equal, unknown errors in y, judged by the scatter (GUM H.3). Null for fewer than three points. */
export function ordinaryLine(x: readonly number[], y: readonly number[]): Line | null {
  const line = weightedLine(
    x,
    y,
    x.map(() => 1),
  );
  if (line === null || line.dof < 1) return null;
  const s = Math.sqrt(line.chiSquare / line.dof);
  return {
    ...line,
    uSlope: line.uSlope * s,
    uIntercept: line.uIntercept * s,
    covariance: line.covariance * s * s,
  };
}

/** A line through the origin, errors in y only, judged by the scatter. */
export function originLine(
  x: readonly number[],
  y: readonly number[],
): Pick<Line, 'slope' | 'uSlope' | 'chiSquare' | 'dof'> {
  const slope = dot(x, y) / dot(x, x);
  const residuals = y.map((value, index) => value - slope * x[index]);
  const chiSquare = dot(residuals, residuals);
  const dof = x.length - 1;
  return { slope, uSlope: Math.sqrt(chiSquare / dof / dot(x, x)), chiSquare, dof };
}

const MOST_STEPS = 100;

/**
 * Independent errors in both axes; York, Evensen, Martinez, Delgado, Am. J. Phys. 72, 367 (2004). The standard
 * uncertainties are York's: expressed at the adjusted points, not widened by the scatter. Null for fewer than two
 * different x or where no point has an uncertainty.
 */
export function bothAxesLine(points: readonly LinePoint[]): Line | null {
  const x = points.map((point) => point.x);
  const y = points.map((point) => point.y);
  let slope = ordinarySlope(x, y);
  for (let step = 0; step < MOST_STEPS && slope !== null; step += 1) {
    const next = yorkStep(points, x, y, slope);
    if (next === null) return null;
    if (Math.abs(next.slope - slope) <= 1e-14 * Math.abs(next.slope)) return next;
    slope = next.slope;
  }
  return null;
}

function ordinarySlope(x: readonly number[], y: readonly number[]): number | null {
  const { sxx, sxy } = centredFit(
    x,
    y,
    x.map(() => 1),
  );
  return x.length > 1 && sxx > 0 ? sxy / sxx : null;
}

function yorkStep(points: readonly LinePoint[], x: number[], y: number[], slope: number): Line | null {
  const variances = points.map(({ ux, uy }) => uy * uy + (slope * ux) ** 2);
  const weights = variances.map((variance) => 1 / variance);
  if (!weights.every(Number.isFinite)) return null;
  const fit = centredFit(x, y, weights);
  // how far the adjusted x lies from the mean, York's beta
  const beta = points.map(
    ({ ux, uy }, index) => weights[index] * (fit.u[index] * uy * uy + slope * fit.v[index] * ux * ux),
  );
  const weightedBeta = beta.map((value, index) => weights[index] * value);
  const next = dot(weightedBeta, fit.v) / dot(weightedBeta, fit.u);
  const meanBeta = sum(weightedBeta) / fit.whole;
  const spread = beta.map((value) => value - meanBeta);
  const varSlope =
    1 /
    dot(
      spread.map((value, index) => weights[index] * value),
      spread,
    );
  const residuals = fit.v.map((value, index) => (value - next * fit.u[index]) / Math.sqrt(variances[index]));
  const line = lineFrom(
    { meanX: fit.meanX + meanBeta, meanY: fit.meanY + next * meanBeta },
    next,
    varSlope,
    1 / fit.whole,
  );
  return { ...line, chiSquare: dot(residuals, residuals), dof: x.length - 2 };
}
