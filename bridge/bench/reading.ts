import type { Sample } from '../samples/board.ts';
import type { Bench } from './bench-file.ts';
import type { PositionScale } from './calibration.ts';
import { driverMa, positionScale, positionStepCm } from './calibration.ts';

/** A sample in the bench's units. The galvanometer stays in counts: its zero is found from the run itself. */
export interface Reading extends SwitchPositions {
  /** Seconds of board time since the first sample of the recording. */
  tS: number;
  afterGap: boolean;
  galCounts: number | null;
  galSaturated: -1 | 0 | 1;
  scaleCm: number | null;
  driverMa: number | null;
  contact: boolean | null;
}

/** How the switches of a bench stand, and in which row the jockey is; null where that is not known. */
export interface SwitchPositions {
  cell: number | null;
  row: number | null;
  /** The protective resistance is in. */
  protect: boolean;
  /** The load resistance is across the cell. */
  load: boolean;
}

export class BenchReader {
  readonly bench: Bench;
  private readonly scale: PositionScale | null;

  constructor(bench: Bench) {
    this.bench = bench;
    this.scale = bench.position ? positionScale(bench.position) : null;
  }

  /** @param switches as they stand when the sample is taken */
  read(sample: Sample, { cell, row, protect, load }: SwitchPositions): Reading {
    return {
      tS: sample.tUs * 1e-6,
      afterGap: sample.afterGap,
      galCounts: sample.gal,
      galSaturated: sample.galSaturated,
      scaleCm:
        sample.pos === null || sample.posSaturated || this.scale === null ? null : this.scale(sample.pos),
      driverMa: sample.drv === null || sample.drvSaturated ? null : driverMa(this.bench, sample.drv),
      contact: sample.contact,
      cell,
      protect,
      load,
      row,
    };
  }

  /** What one step of the position converter is worth near a count, in cm; 0 without a position sensor. */
  stepCm(counts: number): number {
    return this.scale === null ? 0 : positionStepCm(this.scale, counts);
  }
}
