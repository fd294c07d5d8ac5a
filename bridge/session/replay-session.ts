import { basename } from 'node:path';
import { message } from '../messages/catalogue.ts';
import type { RecordingFault } from '../recording/read.ts';
import { openRecording } from '../recording/read.ts';
import type { RecordLine } from '../recording/record.ts';
import type { RunFold } from '../run/fold.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import { Broadcast } from './broadcast.ts';
import { foldRecording, surveyRecording } from './fold-recording.ts';
import type { MakeFold } from './make-fold.ts';
import { PacedSource } from './paced-source.ts';
import type {
  Answer,
  PlaybackCommand,
  PlaybackView,
  RecordingState,
  Session,
  SessionSummary,
} from './session.ts';

export interface ReplayOptions {
  id: string;
  path: string;
  /** Times real time. */
  speed: number;
  makeFold: MakeFold;
}

type NullMark = PlaybackView['nulls'][number];

const NOTHING_LISTENS = { lines: () => {}, sent: () => {}, link: () => {} };

/** A recording played back at any speed. Folds the very records that a report folds, so it ends at the same result. */
export class ReplaySession implements Session {
  readonly summary: SessionSummary;
  readonly #options: ReplayOptions;
  readonly #changed = new Broadcast<void>();
  readonly #readings = new Broadcast<LiveReading>();
  readonly #anew = new Broadcast<void>();
  readonly #ended = new Broadcast<void>();
  #events: readonly RecordLine[] = [];
  #fold: RunFold;
  #source: PacedSource | null = null;
  #speed: number;
  #playing = true;
  #closed = false;
  #atS = 0;
  #version = -1;
  #durationS = 0;
  #nulls: NullMark[] = [];

  constructor(options: ReplayOptions) {
    this.#options = options;
    this.#speed = options.speed;
    this.#fold = options.makeFold([]);
    this.summary = { id: options.id, title: basename(options.path), kind: 'replay' };
  }

  /** Begins to play, or answers why the recording can't be read. */
  async start(): Promise<RecordingFault | null> {
    const read = await surveyRecording(this.#options.path);
    if (!read.ok) return read.fault;
    this.#events = read.events;
    void this.#lookAhead();
    return this.#begin();
  }

  view(): RunView {
    return this.#fold.view();
  }

  recordEvent(): Answer {
    return { ok: false, ...message('replay-only-played') };
  }

  recording(): RecordingState {
    return { file: basename(this.#options.path), trouble: null };
  }

  recordingPath(): string {
    return this.#options.path;
  }

  playback(): PlaybackView {
    return {
      playing: this.#playing,
      speed: this.#speed,
      atS: this.#atS,
      durationS: this.#durationS,
      nulls: this.#nulls,
    };
  }

  play(command: PlaybackCommand): Answer {
    if (command.speed !== undefined) {
      this.#speed = command.speed;
      this.#source?.setSpeed(command.speed);
    }
    const { seekS, step, playing } = command;
    // Known before a place is looked for: a source that begins there takes it over.
    if (playing !== undefined) this.#playing = playing;
    if (seekS !== undefined) this.#seek(seekS < this.#atS, () => this.#atS >= seekS);
    else if (step !== undefined) this.#step(step);
    if (playing !== undefined) this.#goOnOrPause();
    this.#changed.tell();
    return { ok: true };
  }

  onChange(listener: () => void): () => void {
    return this.#changed.on(listener);
  }

  onReading(listener: (reading: LiveReading) => void): () => void {
    return this.#readings.on(listener);
  }

  onAnew(listener: () => void): () => void {
    return this.#anew.on(listener);
  }

  onEnded(listener: () => void): () => void {
    return this.#ended.on(listener);
  }

  async close(): Promise<void> {
    this.#closed = true;
    await this.#source?.close();
    this.#source = null;
  }

  /** Folds the whole recording once in the background, to know how long it is and where its nulls lie. */
  async #lookAhead(): Promise<void> {
    const folded = await foldRecording(this.#options.path, () => this.#options.makeFold(this.#events));
    if (!folded.ok) return;
    const view = folded.fold.view();
    this.#durationS = view.durationS;
    this.#nulls = view.nulls.map(({ id, atS, cell }) => ({ id, atS, cell }));
    this.#changed.tell();
  }

  /**
   * From the start of the recording, with an empty fold. In one go, without waiting for anything: two commands at once
   * would else begin two sources, and a fold that takes records from both shows a false result.
   */
  #begin(): RecordingFault | null {
    void this.#source?.close();
    this.#source = null;
    if (this.#closed) return null;
    const opened = openRecording(this.#options.path);
    if (!opened.ok) {
      this.#playing = false;
      return opened.fault;
    }
    const { reader } = opened;
    const fold = this.#options.makeFold(this.#events);
    fold.onReading = (reading) => {
      this.#atS = reading.atS;
      this.#readings.tell(reading);
    };
    const source = new PacedSource('replay', reader.records, this.#speed, () => reader.close());
    if (!this.#playing) source.pause();
    this.#fold = fold;
    this.#source = source;
    this.#atS = 0;
    this.#version = -1;
    this.#anew.tell();
    void source.start({
      ...NOTHING_LISTENS,
      records: (records) => this.#take(fold, records),
      ended: () => {
        fold.end(reader.progress.torn);
        this.#end();
      },
    });
    return null;
  }

  #take(fold: RunFold, records: (RecordLine | 'unreadable')[]): void {
    for (const record of records) fold.accept(record);
    if (fold.version === this.#version) return;
    this.#version = fold.version;
    this.#changed.tell();
  }

  #end(): void {
    this.#playing = false;
    this.#source = null;
    this.#changed.tell();
    this.#ended.tell();
  }

  /** Where a search for a place has just come to the end of the recording, it stays there. */
  #goOnOrPause(): void {
    if (this.#source === null) {
      if (this.#playing) this.#begin();
    } else if (this.#playing) this.#source.resume();
    else this.#source.pause();
  }

  /** Goes on, or begins anew and goes on, as fast as it can until a place is reached. */
  #seek(back: boolean, reached: () => boolean): void {
    if (back || this.#source === null) this.#begin();
    void this.#source?.skipUntil(reached).then(() => this.#changed.tell());
  }

  /** To the moment when the next null is found, or the one before the last. */
  #step(step: 'next' | 'back'): void {
    const found = this.#fold.lengths.length;
    if (step === 'back') this.#seek(true, () => this.#fold.lengths.length >= found - 1);
    else if (this.#durationS === 0 || found < this.#nulls.length)
      this.#seek(false, () => this.#fold.lengths.length > found);
  }
}
