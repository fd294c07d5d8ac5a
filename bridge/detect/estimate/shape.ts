import type { Bench } from '../../bench/bench-file.ts';

/**
 * How far the current can bend against length, relative to its slope: standard deviations of the second
 * and third order coefficients that the fit is told beforehand, in 1/cm and 1/cm².
 */
export interface BendingPrior {
  perCm: number;
  perCm2: number;
}

/**
 * Two things bend the line. The circuit: the Thevenin resistance a(T-a)/T of the wire rises or falls by at
 * most the wire's own resistance per cm beside the branch's resistance, i = (E-V)/(R + R_th). And the error of the
 * position sensor: a smooth function of covariance u² exp(-(d/c)²), whose second and third derivatives have the
 * standard deviations sqrt(12) u/c² and sqrt(120) u/c³.
 */
export function bendingPrior(bench: Bench, protectIn: boolean): BendingPrior {
  const ohmPerCm = bench.wire.resistanceOhm / (bench.wire.rows * bench.wire.rowLengthCm);
  const branchOhm = bench.galvanometer.resistanceOhm + (protectIn ? (bench.protectiveResistanceOhm ?? 0) : 0);
  const circuit = ohmPerCm / branchOhm;
  const u = bench.position?.standardUncertaintyCm ?? 0;
  const c = bench.position?.correlationCm ?? 15;
  const sensor2 = (Math.sqrt(12) * u) / c ** 2 / 2;
  const sensor3 = (Math.sqrt(120) * u) / c ** 3 / 6;
  return { perCm: Math.hypot(circuit, sensor2), perCm2: Math.hypot(circuit ** 2, sensor3) };
}
