import type { Words } from '../bench/reading.ts';
import type { EventLog } from './event-log.ts';

/**
 * The operator's words that stand at a place in the event log; later ones may have taken some of them back. Each is looked
 * for when it is asked for: of most touches the board senses all.
 */
export class WordsAt implements Words {
  private readonly log: EventLog;
  private readonly events: number;

  /** @param events how many events were on record */
  constructor(log: EventLog, events: number) {
    this.log = log;
    this.events = events;
  }

  get cell(): number | null {
    return this.log.last('cell', this.events)?.cell ?? null;
  }

  get row(): number | null {
    return this.log.last('row', this.events)?.row ?? null;
  }

  get protect(): boolean {
    return this.log.last('protect', this.events)?.in ?? false;
  }

  get load(): boolean {
    return this.log.last('load', this.events)?.in ?? false;
  }
}

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
      const { cell, row, protect, load } = new WordsAt(this.log, events);
      this.kept = { events, ofCount: this.log.count, words: { cell, row, protect, load } };
    }
    return this.kept.words;
  }
}
