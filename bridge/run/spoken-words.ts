import type { Words } from '../bench/reading.ts';
import type { EventLog } from './event-log.ts';

/** The operator's words that stand at a place in the event log; later ones may have taken some of them back. */
export const wordsAt = (log: EventLog, events: number): Words => ({
  cell: log.last('cell', events)?.cell ?? null,
  row: log.last('row', events)?.row ?? null,
  protect: log.last('protect', events)?.in ?? false,
  load: log.last('load', events)?.in ?? false,
});

/** The same, asked for with every sample: the last answer is kept. */
export class SpokenWords {
  private readonly log: EventLog;
  private kept: { events: number; ofCount: number; words: Words } | null = null;

  constructor(log: EventLog) {
    this.log = log;
  }

  /** @param events how many events were on record */
  at(events: number): Words {
    if (this.kept === null || this.kept.events !== events || this.kept.ofCount !== this.log.count) {
      this.kept = { events, ofCount: this.log.count, words: wordsAt(this.log, events) };
    }
    return this.kept.words;
  }
}
