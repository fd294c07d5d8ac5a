import { Buffer } from 'node:buffer';
import { closeSync, openSync, readSync } from 'node:fs';
import { basename } from 'node:path';
import { message } from '../messages/catalogue.ts';
import type { RecordLine } from '../recording/record.ts';
import { splitRecords } from '../recording/split.ts';
import { benchesTakenBack } from '../run/event-log.ts';
import { readEvent } from '../run/events.ts';
import type { Run } from '../run/run.ts';
import type { RunView } from '../run/view.ts';
import { inSlices } from '../session/in-slices.ts';
import type { MakeRun } from '../session/make-run.ts';
import type { Answer, PlaybackView, RecordingState, Session, SessionSummary } from '../session/session.ts';
import { SessionEvents } from '../session/session-events.ts';

const PART_BYTES = 1 << 18;
const LINE_FEED = 0x0a;

/** A run at another computer, as far as its recording has come: watched, and nothing else. */
export class CopiedRun extends SessionEvents implements Session {
  readonly summary: SessionSummary;
  readonly #path: string;
  readonly #makeRun: MakeRun;
  #run: Run;
  #events: RecordLine[] = [];
  #by: readonly string[] = [];
  #takenBack = 0;
  /** Bytes of the copy that are on the disk; whole lines that were taken in; how far a line's end was looked for. */
  #kept = 0;
  #taken = 0;
  #searched = 0;
  #working = false;
  #isClosed = false;
  #hasEnded = false;

  constructor(id: string, title: string, path: string, makeRun: MakeRun) {
    super();
    this.summary = { id, title, kind: 'copied' };
    this.#path = path;
    this.#makeRun = makeRun;
    this.#run = makeRun([]);
  }

  /** The copy has grown to so many bytes. */
  grown(bytes: number): void {
    this.#kept = bytes;
    // A copy that can't be read now is read further when it has grown.
    this.#work().catch(() => {});
  }

  /** The run has ended at its bench, with so many bytes. */
  endAt(bytes: number): void {
    if (this.#hasEnded || this.#taken < bytes) return;
    this.#hasEnded = true;
    this.#run.end();
    this.changed.tell();
    this.ended.tell();
  }

  view(): RunView {
    return this.#run.view();
  }

  /** Those that the recording names, without a look at the whole run. */
  get by(): readonly string[] {
    return this.#by;
  }

  recordEvent(): Answer {
    return { ok: false, ...message('copied-only-watched') };
  }

  recording(): RecordingState {
    return { file: basename(this.#path), trouble: null };
  }

  recordingPath(): string {
    return this.#path;
  }

  playback(): PlaybackView | null {
    return null;
  }

  play(): Answer {
    return { ok: false, ...message('copied-only-watched') };
  }

  close(): void {
    this.#isClosed = true;
  }

  async #work(): Promise<void> {
    if (this.#working) return;
    const file = openSync(this.#path, 'r');
    this.#working = true;
    try {
      while (!this.#isClosed && (await this.#takeLines(file)));
    } finally {
      closeSync(file);
      this.#working = false;
    }
  }

  /** Takes in the whole lines of the next part. False where nothing is left to be looked at. */
  async #takeLines(file: number): Promise<boolean> {
    const part = Buffer.allocUnsafe(Math.min(PART_BYTES, Math.max(0, this.#kept - this.#searched)));
    const got = part.length === 0 ? 0 : readSync(file, part, 0, part.length, this.#searched);
    if (got === 0) return false;
    const feed = part.lastIndexOf(LINE_FEED, got - 1);
    if (feed < 0) {
      this.#searched += got;
      return true;
    }
    const [from, to] = [this.#taken, this.#searched + feed + 1];
    this.#taken = to;
    this.#searched = to;
    const before = this.#run.state;
    const run = this.#run;
    const events = this.#events.length;
    const readAt = (buffer: Buffer, position: number) =>
      readSync(file, buffer, 0, Math.min(buffer.length, to - from - position), from + position);
    await inSlices(
      splitRecords(readAt, { bytes: 0, torn: false }),
      (record) => this.#take(run, record),
      () => {},
      () => !this.#isClosed,
    );
    if (this.#events.length > events && this.#mustBeginAnew()) this.#beginAnew();
    else if (run.state !== before) this.changed.tell();
    return true;
  }

  #take(run: Run, record: RecordLine | 'unreadable'): void {
    if (record !== 'unreadable' && record.mark === '!') this.#noteEvent(record);
    run.addRecord(record, (reading) => this.readings.tell(reading));
  }

  #noteEvent(record: RecordLine): void {
    this.#events.push(record);
    const event = readEvent(record.payload);
    if (event?.kind === 'about' && event.by !== undefined) this.#by = event.by;
  }

  /** A bench file that was taken back is left out from the first line on. */
  #mustBeginAnew(): boolean {
    const before = this.#takenBack;
    this.#takenBack = benchesTakenBack(this.#events.map(({ payload }) => payload)).size;
    return this.#takenBack !== before;
  }

  #beginAnew(): void {
    this.#run = this.#makeRun(this.#events);
    this.#events = [];
    this.#taken = 0;
    this.#searched = 0;
    this.anew.tell();
    this.changed.tell();
  }
}
