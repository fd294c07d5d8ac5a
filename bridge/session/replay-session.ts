import { basename } from 'node:path';
import { message } from '../messages/catalogue.ts';
import type { RecordingFault } from '../recording/read.ts';
import { openRecording } from '../recording/read.ts';
import type { RecordLine } from '../recording/record.ts';
import type { Run } from '../run/run.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import type { MakeRun } from './make-run.ts';
import { PacedSource } from './paced-source.ts';
import { runFromRecording, surveyRecording } from './run-from-recording.ts';
import type {
  Answer,
  PlaybackCommand,
  PlaybackView,
  RecordingState,
  Session,
  SessionSummary,
} from './session.ts';
import { SessionEvents } from './session-events.ts';

export interface ReplayOptions {
  id: string;
  path: string;
  /** Times real time. */
  speed: number;
  makeRun: MakeRun;
}

type NullMark = PlaybackView['nulls'][number];

const NOTHING_LISTENS = { lines: () => {}, sent: () => {}, link: () => {} };

/** A recording played back at any speed. Takes the very records that a report takes, so it ends at the same result. */
export class ReplaySession extends SessionEvents implements Session {
  readonly summary: SessionSummary;
  readonly #options: ReplayOptions;
  #events: readonly RecordLine[] = [];
  #run: Run;
  #source: PacedSource | null = null;
  #speed: number;
  #playing = true;
  #closed = false;
  #atS = 0;
  #durationS = 0;
  #nulls: NullMark[] = [];

  constructor(options: ReplayOptions) {
    super();
    this.#options = options;
    this.#speed = options.speed;
    this.#run = options.makeRun([]);
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
    return this.#run.view();
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
    this.changed.tell();
    return { ok: true };
  }

  async close(): Promise<void> {
    this.#closed = true;
    await this.#source?.close();
    this.#source = null;
  }

  /** Goes through the whole recording once in the background, to know how long it is and where its nulls lie. */
  async #lookAhead(): Promise<void> {
    const whole = await runFromRecording(this.#options.path, this.#options.makeRun);
    if (!whole.ok) return;
    const view = whole.run.view();
    this.#durationS = view.durationS;
    this.#nulls = view.nulls.map(({ id, atS, cell }) => ({ id, atS, cell }));
    this.changed.tell();
  }

  /**
   * From the start of the recording, with an empty run. In one go, without waiting for anything: two commands at once
   * would else begin two sources, and a run that takes records from both shows a false result.
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
    const run = this.#options.makeRun(this.#events);
    const source = new PacedSource('replay', reader.records, this.#speed, () => reader.close());
    if (!this.#playing) source.pause();
    this.#run = run;
    this.#source = source;
    this.#atS = 0;
    this.anew.tell();
    void source.start({
      ...NOTHING_LISTENS,
      records: (records) => this.#take(run, records),
      ended: () => {
        run.end(reader.progress.torn);
        this.#end();
      },
    });
    return null;
  }

  #take(run: Run, records: (RecordLine | 'unreadable')[]): void {
    const before = run.state;
    for (const record of records) run.addRecord(record, (reading) => this.#tellReading(reading));
    if (run.state !== before) this.changed.tell();
  }

  #tellReading(reading: LiveReading): void {
    this.#atS = reading.atS;
    this.readings.tell(reading);
  }

  #end(): void {
    this.#playing = false;
    this.#source = null;
    this.changed.tell();
    this.ended.tell();
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
    void this.#source?.skipUntil(reached).then(() => this.changed.tell());
  }

  /** To the moment when the next null is found, or the one before the last; lengths that were taken back are none. */
  #step(step: 'next' | 'back'): void {
    const found = this.#found;
    const numbers = this.#durationS === 0 ? null : this.#nulls.map(({ id }) => Number(id.slice(1)));
    if (step === 'back') {
      const before = numbers === null ? found - 1 : (numbers.filter((number) => number <= found).at(-2) ?? 0);
      this.#seek(true, () => this.#found >= before);
      return;
    }
    const next = numbers === null ? found + 1 : numbers.find((number) => number > found);
    if (next !== undefined) this.#seek(false, () => this.#found >= next);
  }

  /** How many nulls were found and lengths typed by now, those taken back among them: the number in the id of the last. */
  get #found(): number {
    return this.#run.state.lengths.length;
  }
}
