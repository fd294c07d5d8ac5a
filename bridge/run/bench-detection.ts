import type { BenchReader, Reading } from '../bench/reading.ts';
import type { Deflection } from '../detect/deflections.ts';
import type { FoundNull, TouchContext, Wasted } from '../detect/detector.ts';
import { Detector } from '../detect/detector.ts';
import type { BenchState } from './run-state.ts';
import type { TouchLabels } from './switches.ts';

/** What the detection tells. */
export type Detected =
  | { what: 'null'; found: FoundNull<TouchLabels> }
  /** Further taps improve a null: `found` stands in place of `before` from now on. */
  | { what: 'better null'; before: FoundNull<TouchLabels>; found: FoundNull<TouchLabels> }
  | { what: 'deflections'; labels: TouchLabels; deflections: Deflection[] }
  | { what: 'wasted'; labels: TouchLabels; wasted: Wasted }
  /** Zero or lag are better known. */
  | { what: 'better zero or lag' };

const NOTHING: readonly Detected[] = [];

/** The detection on one bench of a run, which tells what it has found in answer to each reading. */
export class BenchDetection {
  readonly reader: BenchReader;
  /** Of the bench, from 0, in the order in which they came into force. */
  readonly index: number;
  readonly detector: Detector<TouchLabels>;
  private told: Detected[] = [];

  /** @param stepCm what one count of its position converter is worth, in cm */
  constructor(reader: BenchReader, index: number, stepCm: number) {
    this.reader = reader;
    this.index = index;
    this.detector = new Detector<TouchLabels>(reader.bench, stepCm, {
      onNull: (found) => this.told.push({ what: 'null', found }),
      onImproved: (before, found) => this.told.push({ what: 'better null', before, found }),
      onDeflections: ({ labels }, deflections) =>
        this.told.push({ what: 'deflections', labels, deflections }),
      onWasted: ({ labels }, wasted) => this.told.push({ what: 'wasted', labels, wasted }),
      onLearnt: () => this.told.push({ what: 'better zero or lag' }),
    });
  }

  /** What is known of the galvanometer by now. */
  get state(): BenchState {
    const { reader, detector } = this;
    return { reader, zero: detector.zero.history, lag: detector.lag.estimate };
  }

  addReading(reading: Reading, context: TouchContext<TouchLabels>): readonly Detected[] {
    this.detector.accept(reading, context);
    return this.takeTold();
  }

  /** A touch that is under way counts as far as it came. */
  endTouch(): readonly Detected[] {
    this.detector.close();
    return this.takeTold();
  }

  private takeTold(): readonly Detected[] {
    if (this.told.length === 0) return NOTHING;
    const { told } = this;
    this.told = [];
    return told;
  }
}
