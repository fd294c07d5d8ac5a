import type { BenchReader } from '../bench/reading.ts';
import type { TouchContext } from '../detect/detector.ts';
import type { Sample } from '../samples/board.ts';
import type { LatestSaidSwitches, TouchLabels } from './switches.ts';
import { resolveSwitches, sameSensed, sensedIn } from './switches.ts';

/** What holds for the touch under way: the same object for as long as nothing has changed, which ends no touch. */
export class TouchContexts {
  private readonly said: LatestSaidSwitches;
  private context: TouchContext<TouchLabels> | null = null;
  private epoch = -1;

  constructor(said: LatestSaidSwitches) {
    this.said = said;
  }

  /**
   * @param events events on record
   * @param epoch of the driver current; another one is another set
   */
  of(sample: Sample, bench: BenchReader, events: number, epoch: number): TouchContext<TouchLabels> {
    const { context } = this;
    if (context !== null && context.labels.bench === bench) {
      // a lifted jockey changes nothing: labels count when it touches
      const lifted = sample.contact === false || (sample.contact === null && sample.row === 0);
      if (lifted) return context;
      const same = context.labels.events === events && sameSensed(context.labels.sensed, sample);
      if (same && epoch === this.epoch) return context;
    }
    this.epoch = epoch;
    const { protect, row } = resolveSwitches(sample, this.said.at(events), bench.bench.wire.rows);
    this.context = { labels: { bench, events, sensed: sensedIn(sample) }, protect, row };
    return this.context;
  }
}
