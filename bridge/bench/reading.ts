import type { Sample } from '../samples/board.ts';
import type { Bench } from './bench-file.ts';
import type { PositionScale } from './calibration.ts';
import { driverMa, positionScale, positionStepCm } from './calibration.ts';

/** A sample in the bench's units. The galvanometer stays in counts: its zero is found from the run itself. */
export interface Reading {
  /** Seconds of board time since the first sample of the recording. */
  tS: number;
  afterGap: boolean;
  galCounts: number | null;
  galSaturated: -1 | 0 | 1;
  scaleCm: number | null;
  driverMa: number | null;
  contact: boolean | null;
  cell: number | null;
  protect: boolean;
  load: boolean;
  row: number | null;
}

/** What the operator's word adds where the board senses nothing. */
export interface Words {
  cell: number | null;
  row: number | null;
  protect: boolean;
  load: boolean;
}

export class BenchReader {
  readonly bench: Bench;
  private readonly scale: PositionScale | null;

  constructor(bench: Bench) {
    this.bench = bench;
    this.scale = bench.position ? positionScale(bench.position) : null;
  }

  read(sample: Sample, words: Words): Reading {
    return {
      tS: sample.tUs * 1e-6,
      afterGap: sample.afterGap,
      galCounts: sample.gal,
      galSaturated: sample.galSaturated,
      scaleCm:
        sample.pos === null || sample.posSaturated || this.scale === null ? null : this.scale(sample.pos),
      driverMa: sample.drv === null || sample.drvSaturated ? null : driverMa(this.bench, sample.drv),
      contact: sample.contact,
      cell: sample.cell ?? words.cell,
      protect: sample.protect ?? words.protect,
      load: sample.load ?? words.load,
      row: this.rowOf(sample, words),
    };
  }

  /** What one step of the position converter is worth near a count, in cm; 0 without a position sensor. */
  stepCm(counts: number): number {
    return this.scale === null ? 0 : positionStepCm(this.scale, counts);
  }

  private rowOf(sample: Sample, words: Words): number | null {
    if (this.bench.wire.rows === 1) return 1;
    const row = sample.row === null ? words.row : sample.row;
    return row !== null && row >= 1 && row <= this.bench.wire.rows ? row : null;
  }
}
