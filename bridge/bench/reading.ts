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

/** What the board senses of the bench's keys and the jockey's row; null where it senses nothing. */
export type Sensed = Pick<Sample, 'cell' | 'row' | 'protect' | 'load'>;

/** What the operator's word adds where the board senses nothing. */
export interface Words {
  cell: number | null;
  row: number | null;
  protect: boolean;
  load: boolean;
}

/**
 * What holds at the bench: as sensed, and as said where nothing is sensed. A row that the wire does not have is none.
 * @param rows of the wire; null where the bench is not known
 */
export function inForce(sensed: Sensed, said: Words, rows: number | null): Words {
  const row = sensed.row ?? said.row;
  const isThere = row !== null && row >= 1 && (rows === null || row <= rows);
  return {
    cell: sensed.cell ?? said.cell,
    row: rows === 1 ? 1 : isThere ? row : null,
    protect: sensed.protect ?? said.protect,
    load: sensed.load ?? said.load,
  };
}

export class BenchReader {
  readonly bench: Bench;
  private readonly scale: PositionScale | null;

  constructor(bench: Bench) {
    this.bench = bench;
    this.scale = bench.position ? positionScale(bench.position) : null;
  }

  read(sample: Sample, words: Words): Reading {
    const { cell, row, protect, load } = inForce(sample, words, this.bench.wire.rows);
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
