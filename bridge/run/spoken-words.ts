import type { Words } from '../bench/reading.ts';
import type { EventLog } from './event-log.ts';

/** The operator's words in force at a place in the event log. Asked for with every sample, so the last answer is kept. */
export class SpokenWords {
  private readonly log: EventLog;
  private kept: { events: number; ofCount: number; words: Words } | null = null;

  constructor(log: EventLog) {
    this.log = log;
  }

  /** @param events how many events were on record; later ones may still have taken some of them back */
  at(events: number): Words {
    if (this.kept === null || this.kept.events !== events || this.kept.ofCount !== this.log.count) {
      this.kept = { events, ofCount: this.log.count, words: this.read(events) };
    }
    return this.kept.words;
  }

  private read(events: number): Words {
    return {
      cell: this.log.last('cell', events)?.cell ?? null,
      row: this.log.last('row', events)?.row ?? null,
      protect: this.log.last('protect', events)?.in ?? false,
      load: this.log.last('load', events)?.in ?? false,
    };
  }
}
