import type { Bench } from './bench-file.ts';
import { galvanometerUa } from './calibration.ts';
import { lengthFromA } from './geometry.ts';
import type { Reading } from './reading.ts';

/**
 * Driver current in mA as it would be with no current in the galvanometer's branch, which is what balancing lengths go by.
 * Kirchhoff's laws: with i in the branch and the jockey at a resistance a from A, the driver gives (E - i a)/T, T the whole
 * loop, so i a/T is missing. Null where it can't be told: nothing measured, or the galvanometer off its scale in contact.
 */
export function unloadedDriverMa(bench: Bench, reading: Reading, zeroCounts: number): number | null {
  const { driverMa, galCounts, contact } = reading;
  if (driverMa === null || contact === false || galCounts === null) return driverMa;
  if (reading.galSaturated !== 0) return null;
  const branchMa = galvanometerUa(bench, galCounts, zeroCounts) / 1000;
  return driverMa + branchMa * shareOfLoop(bench, reading, driverMa);
}

/** a/T, by the driver's stated EMF; without one the wire is taken for the whole loop, without a row half of it for a. */
function shareOfLoop(bench: Bench, { row, scaleCm }: Reading, driverMa: number): number {
  const { wire, driver } = bench;
  const lengthCm = row === null || scaleCm === null ? null : lengthFromA(wire, row, scaleCm);
  const share = lengthCm === null ? 0.5 : lengthCm / (wire.rows * wire.rowLengthCm);
  const loopOhm = driver === undefined ? 0 : Math.abs((1000 * driver.emfV) / driverMa);
  return share * Math.min(1, wire.resistanceOhm / Math.max(wire.resistanceOhm, loopOhm));
}
