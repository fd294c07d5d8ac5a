import type { BenchReader } from '../bench/reading.ts';
import type { TouchContext } from '../detect/detector.ts';
import type { Sample } from '../samples/board.ts';
import type { SpokenWords } from './spoken-words.ts';
import type { TouchLabels } from './touch-labels.ts';
import { labelsOf, sameLabels } from './touch-labels.ts';

/** What holds for the touch under way: the same object for as long as nothing has changed, which ends no touch. */
export class TouchContexts {
  private readonly words: SpokenWords;
  private context: TouchContext<TouchLabels> | null = null;
  private epoch = -1;

  constructor(words: SpokenWords) {
    this.words = words;
  }

  /**
   * @param events events on record
   * @param epoch of the driver current; another one is another set
   */
  of(sample: Sample, bench: BenchReader, events: number, epoch: number): TouchContext<TouchLabels> {
    const { context } = this;
    if (context !== null) {
      // a lifted jockey changes nothing: labels count when it touches
      const lifted = sample.contact === false || (sample.contact === null && sample.row === 0);
      if (lifted && context.labels.bench === bench) return context;
      if (epoch === this.epoch && sameLabels(context.labels, sample, bench, events)) return context;
    }
    this.epoch = epoch;
    const { protect, row } = bench.read(sample, this.words.at(events));
    this.context = { labels: labelsOf(sample, bench, events), protect, row };
    return this.context;
  }
}
