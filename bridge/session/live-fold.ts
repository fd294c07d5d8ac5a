import type { RecordLine } from '../recording/record.ts';
import type { ReadAt } from '../recording/split.ts';
import { splitRecords } from '../recording/split.ts';
import type { RunFold } from '../run/fold.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import { Broadcast } from './broadcast.ts';
import { inSlices } from './in-slices.ts';
import type { MakeFold } from './make-fold.ts';
import { KEPT_READINGS } from './session.ts';

const mayUndo = ({ mark, payload }: RecordLine): boolean => mark === '!' && payload.includes('"undo"');

/**
 * The fold of a run that goes on. What an `undo` takes back is folded already, so the run is folded afresh from
 * its recording then, in slices, while the old fold goes on; the new one takes over once it has caught up.
 */
export class LiveFold {
  readonly readings = new Broadcast<LiveReading>();
  /** Readings told before are void: those that count are told again. */
  readonly anew = new Broadcast<void>();
  readonly #readAt: ReadAt;
  readonly #makeFold: MakeFold;
  readonly #onChange: () => void;
  #fold: RunFold;
  #version = -1;
  #refolding = false;
  /** Something was taken back while the run was being folded afresh. */
  #again = false;
  #closed = false;
  #ended = false;

  constructor(readAt: ReadAt, makeFold: MakeFold, onChange: () => void) {
    this.#readAt = readAt;
    this.#makeFold = makeFold;
    this.#onChange = onChange;
    this.#fold = makeFold([]);
    this.#fold.onReading = (reading) => this.readings.tell(reading);
  }

  view(): RunView {
    return this.#fold.view();
  }

  accept(records: readonly RecordLine[]): void {
    for (const record of records) this.#fold.accept(record);
    if (this.#fold.needsRefold && records.some(mayUndo)) this.askForRefold();
    this.#tellChange();
  }

  /** Folds the whole recording afresh; resolves once the new fold has taken over. */
  async refold(): Promise<void> {
    this.#refolding = true;
    do {
      this.#again = false;
      await this.#foldAfresh();
    } while (this.#again && !this.#closed);
    this.#refolding = false;
  }

  /** Has the run folded afresh, now or once more after the folding that is under way. */
  askForRefold(): void {
    this.#again = true;
    if (!this.#refolding) void this.refold();
  }

  /** Nothing more comes from the bench. */
  end(): void {
    this.#ended = true;
    this.#fold.end();
    this.#tellChange();
  }

  close(): void {
    this.#closed = true;
  }

  async #foldAfresh(): Promise<void> {
    const goOn = () => !this.#closed;
    const events: RecordLine[] = [];
    await inSlices(
      this.#records(),
      (record) => {
        if (record !== 'unreadable' && record.mark === '!') events.push(record);
      },
      undefined,
      goOn,
    );
    const fold = this.#makeFold(events);
    let kept: LiveReading[] = [];
    fold.onReading = (reading) => {
      kept.push(reading);
      if (kept.length > 2 * KEPT_READINGS) kept = kept.slice(-KEPT_READINGS);
    };
    await inSlices(
      this.#records(),
      (record) => fold.accept(record),
      () => this.#takeOver(fold, kept.slice(-KEPT_READINGS)),
      goOn,
    );
  }

  #records(): Iterable<RecordLine | 'unreadable'> {
    return splitRecords(this.#readAt, { bytes: 0, torn: false });
  }

  #takeOver(fold: RunFold, readings: LiveReading[]): void {
    this.#fold = fold;
    if (this.#ended) fold.end();
    fold.onReading = (reading) => this.readings.tell(reading);
    this.anew.tell();
    for (const reading of readings) this.readings.tell(reading);
    this.#version = -1;
    this.#tellChange();
  }

  #tellChange(): void {
    if (this.#fold.version === this.#version) return;
    this.#version = this.#fold.version;
    this.#onChange();
  }
}
