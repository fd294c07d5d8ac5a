import type { Bench } from '../bench/bench-file.ts';
import { galvanometerUa } from '../bench/calibration.ts';
import { lengthFromA } from '../bench/geometry.ts';
import type { Reading } from '../bench/reading.ts';
import type { LiveReading } from './view.ts';

/** A reading for plots, from the galvanometer's zero as it is known by then. */
export function liveReading(bench: Bench, reading: Reading, zeroCounts: number): LiveReading {
  const { scaleCm, row, galCounts } = reading;
  return {
    atS: reading.tS,
    contact: reading.contact,
    scaleCm,
    lengthCm: scaleCm === null || row === null ? null : lengthFromA(bench.wire, row, scaleCm),
    currentUa: galCounts === null ? null : galvanometerUa(bench, galCounts, zeroCounts),
    saturated: reading.galSaturated !== 0,
    driverMa: reading.driverMa,
    cell: reading.cell,
    row,
    protect: reading.protect,
    load: reading.load,
    afterGap: reading.afterGap,
  };
}
