import type { BenchReader } from '../bench/reading.ts';
import type { Deflection } from '../detect/deflections.ts';
import type { FoundNull } from '../detect/detector.ts';
import { Detector } from '../detect/detector.ts';
import type { TouchLabels } from './touch-labels.ts';

/** The benches of a run with the detection on each, and what touches showed beside nulls. */

/** A bench that came into force; one that comes again begins detection anew. */
export interface BenchInUse {
  reader: BenchReader;
  detector: Detector<TouchLabels>;
}

/** What one touch showed of the connections. */
export interface Evidence {
  labels: TouchLabels;
  deflections: Deflection[];
  /** Driver current in mA at the time; null without a driver channel. */
  driverMa: number | null;
}

/** Who is told of nulls, and of all else that may change what is known of them. */
export interface DetectionListener {
  onNull(found: FoundNull<TouchLabels>, benchIndex: number): void;
  onImproved(before: FoundNull<TouchLabels>, found: FoundNull<TouchLabels>): void;
  /** Answers the driver current in mA at the time; null without a driver channel. */
  onTouched(deflections: readonly Deflection[]): number | null;
  /** Zero, lag or evidence are better known. */
  onLearnt(): void;
}

const MOST_EVIDENCE = 3000;

export class BenchDetectors {
  readonly evidence: Evidence[] = [];
  private readonly listener: DetectionListener;
  private readonly benches: BenchInUse[] = [];
  private newest: BenchInUse | null = null;

  constructor(listener: DetectionListener) {
    this.listener = listener;
  }

  /** The bench in force; null before the first. */
  get current(): BenchInUse | null {
    return this.newest;
  }

  /** In the order in which they came into force. */
  get all(): readonly BenchInUse[] {
    return this.benches;
  }

  /** @param benchIndex from 0, in the order in which they came into force */
  at(benchIndex: number): BenchInUse {
    return this.benches[benchIndex];
  }

  /** Brings a bench into force. @param stepCm what one count of its position converter is worth, in cm */
  use(reader: BenchReader, stepCm: number): void {
    this.endTouch();
    const { listener } = this;
    const benchIndex = this.benches.length;
    const detector = new Detector<TouchLabels>(reader.bench, stepCm, {
      onNull: (found) => listener.onNull(found, benchIndex),
      onImproved: (before, found) => listener.onImproved(before, found),
      onDeflections: ({ labels }, deflections) => this.noteDeflections(labels, deflections),
      onLearnt: () => listener.onLearnt(),
    });
    this.newest = { reader, detector };
    this.benches.push(this.newest);
  }

  /** A touch that is under way counts as far as it came. */
  endTouch(): void {
    this.newest?.detector.close();
  }

  private noteDeflections(labels: TouchLabels, deflections: Deflection[]): void {
    this.evidence.push({ labels, deflections, driverMa: this.listener.onTouched(deflections) });
    if (this.evidence.length > MOST_EVIDENCE) this.evidence.splice(0, MOST_EVIDENCE / 10);
    this.listener.onLearnt();
  }
}
