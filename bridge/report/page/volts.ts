import type { Bench } from '../../bench/bench-file.ts';
import { fixed } from '../../calc-core/rounding.ts';

/** A voltmeter reading with the decimals of its least count: 1.1 V read to 0.02 V is 1.10 V. */
export function voltsText(bench: Bench, volts: number): string {
  const least = bench.voltmeter?.leastCountV;
  const decimals = least === undefined ? 0 : (String(least).split('.')[1]?.length ?? 0);
  const own = String(volts).split('.')[1]?.length ?? 0;
  return `${fixed(volts, Math.min(6, Math.max(decimals, own)))} V`;
}
